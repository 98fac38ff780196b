import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-aria-components';
import type { ScreenProps } from '../app/screen.js';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { Preparation } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { shortLabel } from '../parts/format.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { causeText, usePeopleNames } from '../stock/stock.js';
import { StandingTag } from '../stock/Tags.js';
import { WORDS } from '../words.js';
import { amountText } from './amounts.js';
import { readingsOf, type TypedReading } from './filling.js';
import { Readings } from './Readings.js';
import { usePreparation } from './recipes.js';
import '../stock/stock.css';
import './recipes.css';
import { RECIPES } from './words.js';

const words = RECIPES.preparation;
const above = { href: '/stock/recipes', word: RECIPES.title };

/** How one preparation was made: what was asked and what was really taken, what limits it, and its readings. */
export default function PreparationScreen({ lot = '' }: ScreenProps) {
  const { format } = useSession();
  const name = usePeopleNames();
  const { data, error, refetch } = usePreparation(lot);
  if (!data) {
    return (
      <Page title={RECIPES.title} above={above}>
        <Waiting error={error} onRetry={() => void refetch()} />
      </Page>
    );
  }
  const [first] = data.limits;
  const facts = [
    [words.made, `${format.dayAndClock(data.at)} ${name(data.personId)}`.trim()],
    [words.volume, amountText(data.volume)],
    [words.until, data.usableUntil === null ? null : format.dayAndClock(data.usableUntil)],
    [words.limit, first ? causeText(first.by) : null],
    [RECIPES.page.strengthFact, data.strength],
    [RECIPES.page.storage, data.storage],
  ] as const;
  return (
    <Page
      title={words.title(data.name, data.number)}
      above={above}
      about={
        <p className="tag-line">
          {data.recipe === null ? words.without : <Link href={`/stock/recipes/${data.recipe}`}>{data.recipeName}</Link>}{' '}
          <StandingTag standing={data.standing} />
        </p>
      }
      ways={
        <Link href={`/stock/${data.lotId}`} className="button">
          {words.toLot}
        </Link>
      }
    >
      <dl className="facts">
        {facts.flatMap(([fact, said]) =>
          said
            ? [
                <div key={fact}>
                  <dt>{fact}</dt>
                  <dd>{said}</dd>
                </div>,
              ]
            : [],
        )}
      </dl>
      <Part title={words.lines}>
        <Lines preparation={data} />
      </Part>
      <Part title={words.readings}>
        <Read preparation={data} />
      </Part>
    </Page>
  );
}

function Lines({ preparation: { lines, components, names } }: { preparation: Preparation }) {
  const reasons = lines.some(({ reason }) => reason !== undefined);
  return (
    <>
      <div className="table-place">
        <table>
          <thead>
            <tr>
              <th scope="col">{RECIPES.page.takes}</th>
              <th scope="col">{words.asked}</th>
              <th scope="col">{words.taken}</th>
              {reasons && <th scope="col">{words.reason}</th>}
            </tr>
          </thead>
          <tbody>
            {lines.map(({ line, takes, planned, taken, poured, reason }) => (
              <tr key={line}>
                <th scope="row">{names[takes] ?? takes}</th>
                <td data-label={words.asked} className="figures">
                  {planned && amountText(planned)}
                </td>
                <td data-label={words.taken} className="figures">
                  {[...taken, ...(poured ? [poured] : [])].map(amountText).join(' + ')}
                </td>
                {reasons && <td data-label={words.reason}>{reason}</td>}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <ul className="worksheet-from">
        {components.map(({ containerId, label, lotId, lotNumber, reagent, quantity }, n) => (
          <li key={`${containerId} ${n}`}>
            <span className="label">{shortLabel(label)}</span>{' '}
            <span className="small">
              {names[reagent] ?? reagent}, <Link href={`/stock/${lotId}`}>{lotNumber}</Link>
              {quantity && `, ${amountText(quantity)}`}
            </span>
          </li>
        ))}
      </ul>
    </>
  );
}

function Read({ preparation: { lotId, asked, readings, open, standing } }: { preparation: Preparation }) {
  const { format, may } = useSession();
  const queries = useQueryClient();
  const [typed, setTyped] = useState<ReadonlyMap<string, TypedReading>>(new Map());
  const send = useChange(
    (body: { readings: { id: string; value?: number; passed?: boolean }[] }, key) =>
      got(api.POST('/api/preparations/{lot}/readings', { params: { path: { lot: lotId } }, body, ...once(key) })),
    async () => {
      setTyped(new Map());
      await queries.invalidateQueries({ queryKey: ['stock'] });
    },
  );
  if (asked.length === 0) return <p className="small">{words.noReadings}</p>;
  const given = readingsOf(typed);
  return (
    <>
      <ul className="checks">
        {readings.map(({ what, value, passed, at }, n) => (
          <li key={`${at} ${n}`}>
            <span className="tag-line">
              {what}
              {value !== undefined && <span className="figures"> {value}</span>}{' '}
              <Tag frame={passed ? 'plain' : 'full'}>{passed ? words.passed : words.failed}</Tag>
              <span className="small figures">{format.dayAndClock(at)}</span>
            </span>
          </li>
        ))}
      </ul>
      {open.length > 0 ? (
        <p className="held-note">
          {words.waits}: {open.join('; ')}.
        </p>
      ) : (
        standing === 'quarantined' && <p>{words.ready}</p>
      )}
      {may('technician', 'manager', 'director') && (
        <div className="prepare-end">
          <h3>{words.readNow}</h3>
          <Readings asked={asked} typed={typed} onChange={setTyped} />
          <ProblemNote problem={send.error} />
          <div>
            <Button isDisabled={send.isPending || given.length === 0} onPress={() => send.ask({ readings: given })}>
              {send.isPending ? WORDS.sending : words.save}
            </Button>
          </div>
        </div>
      )}
    </>
  );
}
