import { useInfiniteQuery } from '@tanstack/react-query';
import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { Lookback } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { csvOf, Export } from '../parts/Export.js';
import { Nothing, Page, Part, Tag, Waiting } from '../parts/Page.js';
import { LOOKBACKS as words } from './words.js';

/** Questions on earlier work: the open ones first. */
export default function LookbacksScreen() {
  return (
    <Page title={words.title} about={<p>{words.about}</p>} ways={<Export files={[csvOf('lookbacks/list.csv')]} />}>
      <Part title={words.open}>
        <List state="open" />
      </Part>
      <Part title={words.closed}>
        <List state="closed" />
      </Part>
    </Page>
  );
}

function List({ state }: { state: 'open' | 'closed' }) {
  const lookbacks = useInfiniteQuery({
    queryKey: ['lookbacks', 'list', state],
    queryFn: ({ pageParam }) =>
      got(
        api.GET('/api/lookbacks', {
          params: { query: { state, take: 20, ...(pageParam !== null && { after: pageParam }) } },
        }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
  });
  const all = lookbacks.data?.pages.flatMap(({ items }) => items);
  if (!all) return <Waiting error={lookbacks.error} onRetry={() => void lookbacks.refetch()} />;
  if (all.length === 0) {
    if (state === 'closed') return <p>{words.emptyClosed}</p>;
    return (
      <Nothing title={words.emptyOpen}>
        <p>{words.emptyHelp}</p>
      </Nothing>
    );
  }
  return (
    <>
      <ul className="lines">
        {all.map((lookback) => (
          <li key={lookback.id}>
            <Line lookback={lookback} />
          </li>
        ))}
      </ul>
      {lookbacks.hasNextPage && (
        <div>
          <Button onPress={() => void lookbacks.fetchNextPage()}>{words.more}</Button>
        </div>
      )}
    </>
  );
}

function Line({ lookback: { id, cause, at, reason, touched, answered } }: { lookback: Lookback }) {
  const { format } = useSession();
  return (
    <>
      <p className="tag-line">
        <Link href={`/lookbacks/${id}`} className="line-title">
          {words.causes[cause]}
        </Link>
        <Tag frame={answered < touched ? 'double' : 'plain'}>
          {touched === 0 ? words.none : words.progress(answered, touched)}
        </Tag>
        <span className="small figures">{words.openedAt(format.dayAndClock(at))}</span>
      </p>
      <p>{format.within(reason)}</p>
    </>
  );
}
