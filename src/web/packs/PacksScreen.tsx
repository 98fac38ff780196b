import { useInfiniteQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { Pack } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { say } from '../parts/notices.js';
import { sizeText } from '../parts/numbers.js';
import { Nothing, Page, Part, Tag, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { usePeopleNames } from '../stock/stock.js';
import { AskSheet } from './AskSheet.js';
import './packs.css';
import { PACKS as words } from './words.js';

const LOOK_AGAIN_MS = 1_000;
const OPEN: readonly Pack['state'][] = ['waiting', 'working'];
const FRAMES = {
  waiting: 'soft',
  working: 'soft',
  made: 'plain',
  failed: 'double',
  cancelled: 'soft',
  removed: 'soft',
} as const;

/** Packs that were asked for, how far each is, and the way to a new one. */
export default function PacksScreen() {
  const [asking, setAsking] = useState(false);
  const packs = useInfiniteQuery({
    queryKey: ['packs'],
    queryFn: ({ pageParam }) =>
      got(api.GET('/api/packs', { params: { query: { take: 20, ...(pageParam !== null && { after: pageParam }) } } })),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
    staleTime: 0,
    refetchInterval: ({ state: { data } }) =>
      data?.pages.some(({ items }) => items.some(({ state }) => OPEN.includes(state))) ? LOOK_AGAIN_MS : false,
  });
  const all = packs.data?.pages.flatMap(({ items }) => items);
  const today = packs.data?.pages[0]?.today;
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={
        <Button look="main" isDisabled={today === undefined} onPress={() => setAsking(true)}>
          {words.ask}
        </Button>
      }
    >
      {!all && <Waiting error={packs.error} onRetry={() => void packs.refetch()} />}
      {all?.length === 0 && (
        <Nothing title={words.empty}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      {all && all.length > 0 && (
        <ul className="lines">
          {all.map((pack) => (
            <li key={pack.id}>
              <OnePack pack={pack} />
            </li>
          ))}
        </ul>
      )}
      {packs.hasNextPage && (
        <div>
          <Button onPress={() => void packs.fetchNextPage()}>{words.more}</Button>
        </div>
      )}
      <Part title={words.holds}>
        <ul className="pack-list">
          {words.held.map((each) => (
            <li key={each}>{each}</li>
          ))}
        </ul>
      </Part>
      <Part title={words.check}>
        <ol className="pack-list">
          {words.checks.map((each) => (
            <li key={each}>{each}</li>
          ))}
        </ol>
      </Part>
      {asking && today !== undefined && <AskSheet today={today} onClose={() => setAsking(false)} />}
    </Page>
  );
}

function OnePack({ pack }: { pack: Pack }) {
  const { format } = useSession();
  const nameOf = usePeopleNames();
  const queries = useQueryClient();
  const renew = (): Promise<void> => queries.invalidateQueries({ queryKey: ['packs'] });
  const params = { path: { id: pack.id } };
  const end = useChange(
    (_: null, key) => got(api.DELETE('/api/packs/{id}', { params, ...once(key) })),
    async ({ state }) => {
      say(state === 'removed' ? words.removed : words.cancelled);
      await renew();
    },
  );
  const again = useChange(
    (_: null, key) => got(api.POST('/api/packs/{id}/again', { params, ...once(key) })),
    () => renew(),
  );
  const { id, state, from, to, identifiers, personId, at, part, done, total, bytes, manifest, message } = pack;
  const limited = pack.protocols.length + pack.people.length + pack.lots.length + pack.runs.length > 0;
  const asker = personId === null ? words.commandLine : nameOf(personId);
  return (
    <div className="pack">
      <p className="tag-line">
        <span className="line-title figures">{words.days(from, to)}</span>
        <Tag frame={FRAMES[state]}>{words.states[state]}</Tag>
        <span className="small">
          {words.identifiersAre[identifiers].name}
          {limited && `, ${words.limited}`}
        </span>
      </p>
      <p className="small">{words.askedBy(asker, format.dayAndClock(at))}</p>
      {state === 'working' && (
        <p className="pack-progress">
          <progress value={done} max={Math.max(total, 1)} aria-label={words.progress} />
          <span className="figures">{words.far(part ?? '', done, total)}</span>
        </p>
      )}
      {message !== null && state === 'failed' && <p>{message}</p>}
      {state === 'made' && manifest !== null && (
        <p className="small">
          {words.manifest} <code className="pack-hash">{manifest}</code>
        </p>
      )}
      <div className="pack-ways">
        {state === 'made' && bytes !== null && (
          <a className="button button-main" href={`/api/packs/${id}/download`} download>
            {words.download} ({sizeText(bytes)})
          </a>
        )}
        {state === 'failed' && (
          <Button look="main" isDisabled={again.isPending} onPress={() => again.ask(null)}>
            {words.again}
          </Button>
        )}
        {(OPEN.includes(state) || state === 'failed' || (state === 'made' && bytes !== null)) && (
          <Button isDisabled={end.isPending} onPress={() => end.ask(null)}>
            {state === 'made' ? words.remove : words.cancel}
          </Button>
        )}
      </div>
      <ProblemNote problem={end.error ?? again.error} />
    </div>
  );
}
