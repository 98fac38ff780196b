import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { Bath } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { shortLabel } from '../parts/format.js';
import { Nothing, Page, Part, Tag, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { benchClock } from '../parts/ticker.js';
import { causeText } from '../stock/stock.js';
import { STOCK } from '../stock/words.js';
import '../stock/stock.css';
import './baths.css';
import { useFiltered } from './filtered.js';
import { ChangeSheet, MakeUpSheet, MoveSheet, TopUpSheet } from './sheets.js';
import { BATHS as words } from './words.js';

const DAY_MS = 86_400_000;

type Asked = { act: 'makeUp' } | { act: 'topUp' | 'move' | 'change'; bath: Bath };

/** Every bath in use as one line: what and where it is, its age, its slides, and what is due. */
export default function BathsScreen() {
  const { may } = useSession();
  const [asked, setAsked] = useState<Asked | null>(null);
  const { data, error, refetch } = useQuery({
    queryKey: ['stock', 'baths'],
    queryFn: () => got(api.GET('/api/baths')),
    refetchInterval: 60_000,
  });
  const acting = may('technician', 'manager', 'director');
  const lines = new Map<string, Bath[]>();
  for (const bath of data ?? []) {
    const line = words.series(bath.station, bath.series);
    lines.set(line, [...(lines.get(line) ?? []), bath]);
  }
  const close = (): void => setAsked(null);
  return (
    <Page
      title={words.title}
      above={{ href: '/stock', word: STOCK.title }}
      about={<p>{words.about}</p>}
      ways={
        acting && (
          <Button look="main" onPress={() => setAsked({ act: 'makeUp' })}>
            {words.makeUp}
          </Button>
        )
      }
    >
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data?.length === 0 && (
        <Nothing title={words.none}>
          <p>{words.noneHelp}</p>
        </Nothing>
      )}
      {[...lines].map(([line, baths]) => (
        <Part key={line} title={line}>
          <ul className="lines">
            {baths.map((bath) => (
              <li key={bath.id}>
                <BathLine bath={bath} acting={acting} onAsk={(act) => setAsked({ act, bath })} />
              </li>
            ))}
          </ul>
        </Part>
      ))}
      {asked?.act === 'makeUp' && <MakeUpSheet onClose={close} />}
      {asked?.act === 'topUp' && <TopUpSheet bath={asked.bath} onClose={close} />}
      {asked?.act === 'move' && <MoveSheet bath={asked.bath} onClose={close} />}
      {asked?.act === 'change' && <ChangeSheet bath={asked.bath} onClose={close} />}
    </Page>
  );
}

function BathLine({
  bath,
  acting,
  onAsk,
}: {
  bath: Bath;
  acting: boolean;
  onAsk: (act: 'topUp' | 'move' | 'change') => void;
}) {
  const { format } = useSession();
  const filter = useFiltered();
  const age = Math.floor((Date.parse(benchClock.now().at) - Date.parse(bath.madeAt)) / DAY_MS);
  const cause = bath.changeBy === 'slides' ? words.bySlides : causeText((bath.changeBy ?? 'prepared') as 'prepared');
  const change = bath.changeDueAt;
  return (
    <div className="bath">
      <div className="bath-what">
        <span className="bath-place">{words.place(bath.position)}</span>
        <span>
          <Link href={`/stock/${bath.lotId}`} className="line-title">
            {bath.name}
          </Link>
          <span className="small step-more-words">
            {shortLabel(bath.label)}, {words.days(age)}
          </span>
        </span>
      </div>
      <div className="bath-load">
        {bath.maxSlides !== null && (
          <span className="bath-bar" aria-hidden="true">
            <span style={{ width: `${Math.min(100, (100 * bath.passed) / bath.maxSlides)}%` }} />
          </span>
        )}
        <span className="figures">
          {words.slides(bath.passed, bath.maxSlides)}
          {bath.left !== null && <span className="small"> {words.left(bath.left)}</span>}
        </span>
      </div>
      <div className="bath-due">
        <DueTags bath={bath} />
        {change !== null && (
          <span className="small figures">
            {bath.changeDue
              ? words.changed(format.dayAndClock(change), cause)
              : words.changeAt(format.dayAndClock(change), cause)}
          </span>
        )}
        {bath.filterDueAt !== null && !bath.filterDue && (
          <span className="small figures">{words.filterAt(format.dayAndClock(bath.filterDueAt))}</span>
        )}
        {!bath.usable && !bath.changeDue && !bath.filterDue && (
          <span className="small">{bath.reasons.map((reason) => format.within(reason)).join('; ')}</span>
        )}
      </div>
      {acting && (
        <div className="row-ways bath-acts">
          {bath.filterEvery !== null && (
            <Button
              look={bath.filterDue ? 'main' : 'plain'}
              isDisabled={filter.isPending}
              aria-label={`${words.acts.filter}: ${bath.name}, ${words.place(bath.position)}`}
              onPress={() => filter.ask(bath.id)}
            >
              {words.acts.filter}
            </Button>
          )}
          {(['topUp', 'move', 'change'] as const).map((act) => (
            <Button
              key={act}
              look={act === 'change' && bath.changeDue ? 'main' : 'plain'}
              aria-label={`${words.acts[act]}: ${bath.name}, ${words.place(bath.position)}`}
              onPress={() => onAsk(act)}
            >
              {words.acts[act]}
            </Button>
          ))}
          <ProblemNote problem={filter.error} />
        </div>
      )}
    </div>
  );
}

function DueTags({ bath }: { bath: Bath }) {
  if (bath.changeDue) return <Tag frame="full">{words.due.change}</Tag>;
  return (
    <span className="tag-line">
      {bath.filterDue && <Tag frame="double">{words.due.filter}</Tag>}
      {bath.soon && <Tag frame="double">{words.due.changeSoon}</Tag>}
      {!bath.usable && !bath.filterDue && <Tag frame="full">{words.due.unusable}</Tag>}
      {bath.usable && !bath.soon && <Tag>{words.due.well}</Tag>}
    </span>
  );
}
