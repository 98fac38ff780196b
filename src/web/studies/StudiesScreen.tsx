import { useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { Lot } from '../api.paths.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { csvOf, Export } from '../parts/Export.js';
import { Nothing, Page, Part, Tag, Waiting } from '../parts/Page.js';
import { WORDS } from '../words.js';
import { PlanSheet } from './PlanSheet.js';
import { STUDIES as words } from './words.js';

/** Comparisons of lots, and the lots that wait for one. */
export default function StudiesScreen() {
  const { may, format } = useSession();
  const { name } = useCatalogue();
  const [planned, setPlanned] = useState<Lot | 'any' | null>(null);
  const studies = useInfiniteQuery({
    queryKey: ['studies'],
    queryFn: ({ pageParam }) =>
      got(
        api.GET('/api/studies', { params: { query: { take: 50, ...(pageParam !== null && { after: pageParam }) } } }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
  });
  const lots = useQuery({
    queryKey: ['stock', 'lots', 'to-compare'],
    queryFn: () => got(api.GET('/api/lots', { params: { query: { take: 200 } } })),
  });
  const all = studies.data?.pages.flatMap(({ items }) => items) ?? [];
  const waiting = lots.data?.items.filter(({ standing }) => standing === 'quarantined') ?? [];
  const plans = may('technician', 'manager', 'director');
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={
        <>
          {plans && <Button onPress={() => setPlanned('any')}>{words.plan}</Button>}
          <Export files={[csvOf('studies/list.csv')]} />
        </>
      }
    >
      {!studies.data && <Waiting error={studies.error} onRetry={() => void studies.refetch()} />}
      {studies.data && all.length === 0 && (
        <Nothing title={words.empty} first={{ href: '/stock/receive', word: WORDS.begin.receive }}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      <ul className="lines">
        {all.map(({ id, lot, oldLot, kind, measurand, counted, design, decision, at }) => (
          <li key={id}>
            <p>
              <Link href={`/controls/lots/${id}`} className="line-title">
                {words.against(lot.number, oldLot.number)}
              </Link>{' '}
              <Tag frame={decision ? (decision.standing === 'accepted' ? 'plain' : 'full') : 'double'}>
                {decision ? words.standings[decision.standing] : words.open}
              </Tag>
            </p>
            <p className="small">
              {[
                name(lot.reagent),
                measurand,
                words.kinds[kind].name,
                words.progress(counted, design.pairs),
                format.dayAndClock(at),
              ].join(' · ')}
            </p>
          </li>
        ))}
      </ul>
      {studies.hasNextPage && <Button onPress={() => void studies.fetchNextPage()}>{words.more}</Button>}
      <Part title={words.waiting}>
        {waiting.length === 0 && <p>{words.waitingNone}</p>}
        <ul className="lines">
          {waiting.map((lot) => (
            <li key={lot.id} className="tag-line">
              <Link href={`/stock/${lot.id}`} className="line-title">
                {name(lot.reagent)}, {lot.number}
              </Link>
              {plans && (
                <Button look="quiet" aria-label={words.planFor(lot.number)} onPress={() => setPlanned(lot)}>
                  {words.plan}
                </Button>
              )}
            </li>
          ))}
        </ul>
      </Part>
      {planned && lots.data && (
        <PlanSheet
          lots={lots.data.items}
          lot={planned === 'any' ? (waiting[0] ?? null) : planned}
          onClose={() => setPlanned(null)}
        />
      )}
    </Page>
  );
}
