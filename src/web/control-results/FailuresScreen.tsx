import { useInfiniteQuery } from '@tanstack/react-query';
import { Link } from 'react-aria-components';
import { api, got } from '../api.js';
import { useParam } from '../app/router.js';
import { useSession } from '../app/session.js';
import { Button } from '../parts/Button.js';
import { csvOf, Export } from '../parts/Export.js';
import { Finder } from '../parts/Finder.js';
import { Nothing, Page, Tag, Waiting } from '../parts/Page.js';
import { SelectField } from '../parts/SelectField.js';
import { controlName } from './parts.js';
import { type Failure, RESULTS_KEY } from './queries.js';
import { RESULTS } from './words.js';

const words = RESULTS.failures;
type Filter = keyof typeof words.filters;

/** Failed controls, the newest first. */
export default function FailuresScreen() {
  const [chosen, choose] = useParam('show');
  const state: Filter = chosen === 'open' ? 'open' : 'all';
  const list = useInfiniteQuery({
    queryKey: [...RESULTS_KEY, 'failures', state],
    queryFn: ({ pageParam }) =>
      got(
        api.GET('/api/control-failures', {
          params: { query: { state, take: 50, ...(pageParam !== null && { after: pageParam }) } },
        }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
  });
  const failures = list.data?.pages.flatMap(({ items }) => items) ?? [];
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={<Export files={[csvOf('control-failures/list.csv', { state })]} />}
    >
      <Finder found={list.data && failures.length} all={list.hasNextPage ? 'more' : undefined}>
        <SelectField
          label={words.show}
          value={state}
          onChange={(id) => choose(id === 'all' ? null : id)}
          options={Object.entries(words.filters).map(([id, name]) => ({ id: id as Filter, name }))}
        />
      </Finder>
      {!list.data && <Waiting error={list.error} onRetry={() => void list.refetch()} />}
      {list.data && failures.length === 0 && (
        <Nothing title={words.none}>
          <p>{words.noneHelp}</p>
        </Nothing>
      )}
      <ul className="lines">
        {failures.map((failure) => (
          <li key={failure.id}>
            <FailureLine failure={failure} />
          </li>
        ))}
      </ul>
      {list.hasNextPage && <Button onPress={() => void list.fetchNextPage()}>{words.more}</Button>}
      <p className="small">{RESULTS.caution}</p>
    </Page>
  );
}

function FailureLine({ failure: { id, result, state } }: { failure: Failure }) {
  const { format } = useSession();
  return (
    <div>
      <p>
        <Link href={`/controls/failures/${id}`} className="line-title">
          {controlName(result)}
        </Link>{' '}
        <FailureTag state={state} />
      </p>
      <p>
        {result.title} · <span className="figures">{format.dayAndClock(result.at)}</span>
      </p>
      <p className="small">“{result.observed}”</p>
    </div>
  );
}

export function FailureTag({ state }: { state: Failure['state'] }) {
  return state === 'open' ? <Tag frame="full">{words.open}</Tag> : <Tag>{words.ends[state]}</Tag>;
}
