import { useInfiniteQuery } from '@tanstack/react-query';
import { Link } from 'react-aria-components';
import { LOT_SHOWS, lotShown } from '../../core/find/lists.js';
import { CONTAINER_STATES } from '../../core/lot/lot.js';
import type { ContainerCondition } from '../../core/lot/receive.js';
import { navigate, useChoice, useText } from '../app/router.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { Lot } from '../api.paths.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { csvOf, Export } from '../parts/Export.js';
import { Finder } from '../parts/Finder.js';
import { useFurther } from '../parts/further.js';
import { Nothing, Page, Tag, Waiting } from '../parts/Page.js';
import { SelectField } from '../parts/SelectField.js';
import { useBeat } from '../parts/ticker.js';
import { WORDS } from '../words.js';
import { Look } from './Look.js';
import './stock.css';
import { ConditionTag, StandingTag } from './Tags.js';
import { STOCK as words } from './words.js';

const CONDITIONS: readonly ContainerCondition[] = ['unopened', ...CONTAINER_STATES];

/** Every lot by its reagent, with where it stands and what is left of it. */
export default function StockScreen() {
  const { may } = useSession();
  const { name } = useCatalogue();
  const lots = useInfiniteQuery({
    queryKey: ['stock', 'lots'],
    queryFn: ({ pageParam }) =>
      got(
        api.GET('/api/lots', {
          params: { query: { take: 200, ...(pageParam !== null && { after: pageParam }) } },
        }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
  });
  const [wanted, setWanted] = useText('find');
  const [filter, setFilter] = useChoice('show', LOT_SHOWS, 'all');
  const all = lots.data?.pages.flatMap(({ items }) => items) ?? [];
  const { hasNextPage, isFetchingNextPage, fetchNextPage } = lots;
  useFurther(lots, wanted.trim() !== '' || filter !== 'all');
  const found = all.filter((lot) => lotShown(lot, name(lot.reagent), { find: wanted, show: filter }));
  const reagents = [...new Set(found.map(({ reagent }) => reagent))].sort((a, b) => name(a).localeCompare(name(b)));
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={
        <>
          {may('technician', 'manager', 'director') && (
            <Button onPress={() => navigate('/stock/receive')}>{words.receive}</Button>
          )}
          <Export files={[csvOf('lots/list.csv', { find: wanted, show: filter === 'all' ? null : filter })]} />
        </>
      }
    >
      {may('technician', 'releaser', 'manager', 'director') && <Look />}
      {!lots.data && <Waiting error={lots.error} onRetry={() => void lots.refetch()} />}
      {lots.data && all.length === 0 && (
        <Nothing title={words.empty} first={{ href: '/stock/receive', word: WORDS.begin.receive }}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      {all.length > 0 && (
        <>
          <Finder label={words.find} text={wanted} onText={setWanted} found={found.length} all={all.length}>
            <SelectField
              label={words.show}
              value={filter}
              onChange={setFilter}
              options={LOT_SHOWS.map((id) => ({ id, name: words.filters[id] }))}
            />
          </Finder>
          {found.length === 0 && <p>{words.none}</p>}
          {reagents.map((reagent) => (
            <section key={reagent} className="of-reagent">
              <h2>{name(reagent)}</h2>
              <ul className="lines">
                {found
                  .filter((lot) => lot.reagent === reagent)
                  .map((lot) => (
                    <li key={lot.id}>
                      <LotLine lot={lot} />
                    </li>
                  ))}
              </ul>
            </section>
          ))}
          {hasNextPage && (
            <Button onPress={() => void fetchNextPage()} isDisabled={isFetchingNextPage}>
              {words.more}
            </Button>
          )}
        </>
      )}
    </Page>
  );
}

function LotLine({ lot }: { lot: Lot }) {
  const { format } = useSession();
  const { usableUntil } = lot;
  const over = useBeat(({ at }) => usableUntil !== null && usableUntil <= at);
  return (
    <div className="lot-line">
      <p>
        <Link href={`/stock/${lot.id}`} className="line-title">
          {words.lot(lot.number)}
        </Link>{' '}
        <StandingTag standing={lot.standing} />
      </p>
      <p className="small">
        {lot.source}
        {lot.origin === 'prepared' && ` · ${words.preparedHere}`}
      </p>
      <p>
        <span className="small">{words.until}</span>{' '}
        {usableUntil === null ? words.noLimit : <span className="figures">{format.dayAndClock(usableUntil)}</span>}{' '}
        {over && <Tag frame="full">{words.over}</Tag>}
      </p>
      <p className="tag-line">
        {CONDITIONS.map((condition) => {
          const count = lot.containers.filter(({ state }) => state === condition).length;
          return count > 0 && <ConditionTag key={condition} condition={condition} count={count} />;
        })}
      </p>
    </div>
  );
}
