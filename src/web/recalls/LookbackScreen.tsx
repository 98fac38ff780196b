import { useInfiniteQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-aria-components';
import type { ScreenProps } from '../app/screen.js';
import { useChoice } from '../app/router.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { Lookback, LookbackItem } from '../api.paths.js';
import { OpenDeviation } from '../deviations/OpenDeviation.js';
import { Button } from '../parts/Button.js';
import { Tick } from '../parts/Choice.js';
import { shortLabel } from '../parts/format.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import { SelectField } from '../parts/SelectField.js';
import { SignatureBlock } from '../parts/Signing.js';
import { AnswerSheet, CloseSheet } from './lookback-sheets.js';
import './recalls.css';
import { useLookback } from './recalls.js';
import { LOOKBACKS as words } from './words.js';

const above = { href: '/lookbacks', word: words.title };
type Filter = keyof typeof words.filters;

const FILTERS = Object.keys(words.filters) as Filter[];

/** One lookback: what it touches, why, and what was decided on each. */
export default function LookbackScreen({ lookback: id = '' }: ScreenProps) {
  const { format, may } = useSession();
  const { data, error, refetch } = useLookback(id);
  const [closing, setClosing] = useState(false);
  if (!data) {
    return (
      <Page title={words.title} above={above}>
        <Waiting error={error} onRetry={() => void refetch()} />
      </Page>
    );
  }
  const { cause, causeId, reason, at, touched, answered, closed } = data;
  const ready = answered === touched && closed === null;
  return (
    <Page
      title={words.causes[cause]}
      above={above}
      about={
        <>
          <p>{format.within(reason)}</p>
          <p className="tag-line">
            <Tag frame={answered < touched ? 'double' : 'plain'}>
              {touched === 0 ? words.none : words.progress(answered, touched)}
            </Tag>
            <span className="small figures">{words.openedAt(format.dayAndClock(at))}</span>
          </p>
        </>
      }
      ways={
        <>
          {cause === 'lot recalled' && (
            <Link href={`/stock/recalls/${causeId}`} className="button button-quiet">
              {words.toRecall}
            </Link>
          )}
          {cause === 'control failed' && (
            <Link href={`/controls/failures/${causeId}`} className="button button-quiet">
              {words.toFailures}
            </Link>
          )}
          <OpenDeviation from={{ subject: 'lookback', subjectId: id }} />
          {closed === null && may('releaser', 'director') && (
            <Button isDisabled={!ready} look={ready ? 'main' : 'plain'} onPress={() => setClosing(true)}>
              {words.closeOpen}
            </Button>
          )}
        </>
      }
    >
      {closed === null && answered < touched && <p className="held-note">{words.waits(touched - answered)}</p>}
      {closed !== null && (
        <Part title={words.closedBy}>
          <p>{closed.reason}</p>
          <SignatureBlock signature={closed.signature} act="close" />
        </Part>
      )}
      <Items lookback={data} />
      {closing && <CloseSheet lookbackId={id} onClose={() => setClosing(false)} />}
    </Page>
  );
}

const keyOf = ({ runId, subjectId }: { runId: string; subjectId: string }): string => `${runId}:${subjectId}`;

function Items({ lookback }: { lookback: Lookback }) {
  const { may } = useSession();
  const { id, touched, answered } = lookback;
  const [filter, setFilter] = useChoice('show', FILTERS, answered < touched ? 'waiting' : 'all');
  const [picked, setPicked] = useState<ReadonlySet<string>>(new Set());
  const [answering, setAnswering] = useState<readonly LookbackItem[] | null>(null);
  const items = useInfiniteQuery({
    queryKey: ['lookbacks', id, 'items', filter],
    queryFn: ({ pageParam }) =>
      got(
        api.GET('/api/lookbacks/{id}/items', {
          params: {
            path: { id },
            query: { take: 50, waiting: filter === 'waiting', ...(pageParam !== null && { after: pageParam }) },
          },
        }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
  });
  const all = items.data?.pages.flatMap((page) => page.items) ?? [];
  const chosen = all.filter((item) => picked.has(keyOf(item)));
  const acting = may('releaser', 'director') && lookback.closed === null;
  const pick = (which: readonly LookbackItem[], on: boolean): void => {
    const next = new Set(picked);
    for (const item of which) {
      if (on) next.add(keyOf(item));
      else next.delete(keyOf(item));
    }
    setPicked(next);
  };
  return (
    <>
      <div className="finder">
        <SelectField
          label={words.filter}
          value={filter}
          onChange={setFilter}
          options={FILTERS.map((each) => ({ id: each, name: words.filters[each] }))}
        />
        {acting && all.length > 0 && (
          <>
            <Tick on={chosen.length === all.length} onChange={(on) => pick(all, on)}>
              {words.pickAll}
            </Tick>
            <Button look="main" isDisabled={chosen.length === 0} onPress={() => setAnswering(chosen)}>
              {words.picked(chosen.length)}
            </Button>
          </>
        )}
      </div>
      {!items.data && <Waiting error={items.error} onRetry={() => void items.refetch()} />}
      {items.data && all.length === 0 && <p>{touched === 0 ? words.none : words.allAnswered}</p>}
      <ul className="lines">
        {all.map((item) => (
          <li key={keyOf(item)} className={acting ? 'pick' : undefined}>
            {acting && (
              <Tick on={picked.has(keyOf(item))} onChange={(on) => pick([item], on)}>
                <span className="unseen">{words.pick(shortLabel(item.subject.label))}</span>
              </Tick>
            )}
            <Item item={item} />
          </li>
        ))}
      </ul>
      {items.hasNextPage && (
        <div>
          <Button onPress={() => void items.fetchNextPage()}>{words.more}</Button>
        </div>
      )}
      {answering && (
        <AnswerSheet
          lookbackId={id}
          items={answering}
          onClose={() => {
            setAnswering(null);
            setPicked(new Set());
          }}
        />
      )}
    </>
  );
}

function Item({ item: { runId, title, startedAt, station, subject, why, answer } }: { item: LookbackItem }) {
  const { format } = useSession();
  return (
    <div>
      <p className="tag-line">
        <span className="label">
          <strong>{shortLabel(subject.label)}</strong>
        </span>
        {subject.description}
        {answer === null ? (
          <Tag frame="double">{words.question}</Tag>
        ) : (
          <Tag>{words.outcomes[answer.outcome].name}</Tag>
        )}
      </p>
      <p className="small">
        <Link href={`/release/${runId}`}>{title}</Link> <span className="figures">{format.dayAndClock(startedAt)}</span>{' '}
        {station}
      </p>
      <p className="small">{format.within(why)}</p>
      {subject.releases.map(({ id, kind, at, name }) => (
        <p key={id}>
          {kind}, {words.released} <span className="figures">{format.dayAndClock(at)}</span> {name}
        </p>
      ))}
      {answer !== null && (
        <p>
          {answer.reason} <span className="small figures">{format.dayAndClock(answer.at)}</span>
        </p>
      )}
    </div>
  );
}
