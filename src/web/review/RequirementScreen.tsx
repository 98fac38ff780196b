import { useInfiniteQuery } from '@tanstack/react-query';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { ProofRow } from '../api.paths.js';
import type { ScreenProps } from '../app/screen.js';
import { Button } from '../parts/Button.js';
import { Nothing, Page, Part, Tag, Waiting } from '../parts/Page.js';
import { Thing } from './links.js';
import { type Period, PeriodFields, ScopeNote, usePeriod } from './period.js';
import { StateTag } from './RequirementsScreen.js';
import './review.css';
import { REVIEW } from './words.js';

const words = REVIEW.requirements;

/** One requirement on the left, the records that prove it on the right: gaps first, then all. */
export default function RequirementScreen({ requirement: id = '' }: ScreenProps) {
  const { format } = useSession();
  const period = usePeriod();
  const gaps = useProof(id, 'gaps', period);
  const all = useProof(id, 'all', period);
  const [first] = all.data?.pages ?? [];
  const { from, to } = period;
  return (
    <Page
      title={first?.requirement.clause ?? words.title}
      above={{ href: `/record/requirements?from=${from}&to=${to}`, word: words.title }}
    >
      <ScopeNote scope={period.scope} />
      {period.ready && (
        <div className="finder">
          <PeriodFields period={period} />
        </div>
      )}
      {period.ready && !first && <Waiting error={all.error} onRetry={() => void all.refetch()} />}
      {first && (
        <div className="beside">
          <section className="beside-left" aria-label={words.asks}>
            <p>
              <StateTag state={first.requirement.state} />
            </p>
            <p>{first.requirement.asks}</p>
            <dl>
              <div>
                <dt>{words.proves}</dt>
                <dd>{first.requirement.proof}</dd>
              </div>
              <div>
                <dt>{words.gap}</dt>
                <dd>{first.requirement.gap}</dd>
              </div>
              <div>
                <dt>{words.source}</dt>
                <dd>{words.sources[first.requirement.source]}</dd>
              </div>
            </dl>
          </section>
          <section className="beside-right" aria-label={words.proves}>
            {first.requirement.records === 0 ? (
              <Nothing title={words.none}>
                <p>{words.noneHelp(format.day(first.from), format.lastDay(first.to))}</p>
              </Nothing>
            ) : (
              <>
                <Part title={words.gaps} about={words.counts(first.requirement.records, first.requirement.gaps)}>
                  {first.requirement.gaps === 0 ? <p>{words.noGaps}</p> : <Rows proof={gaps} />}
                </Part>
                <Part title={words.all} about={REVIEW.records(first.requirement.records)}>
                  <Rows proof={all} />
                </Part>
              </>
            )}
          </section>
        </div>
      )}
      <p className="small">{REVIEW.caution}</p>
    </Page>
  );
}

function useProof(id: string, only: 'gaps' | 'all', { from, to, ready }: Period) {
  return useInfiniteQuery({
    queryKey: ['review', 'proof', id, only, from, to],
    queryFn: ({ pageParam }) =>
      got(
        api.GET('/api/review/requirements/{id}', {
          params: { path: { id }, query: { from, to, only, ...(pageParam !== null && { after: pageParam }) } },
        }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
    enabled: ready,
    staleTime: Number.POSITIVE_INFINITY,
  });
}

function Rows({ proof }: { proof: ReturnType<typeof useProof> }) {
  const { format } = useSession();
  const rows: ProofRow[] = proof.data?.pages.flatMap((page) => page.rows) ?? [];
  if (!proof.data) return <Waiting error={proof.error} onRetry={() => void proof.refetch()} />;
  return (
    <>
      <div className="table-place">
        <table>
          <thead>
            <tr>
              <th scope="col">{words.time}</th>
              <th scope="col">{words.what}</th>
              <th scope="col">{words.state}</th>
            </tr>
          </thead>
          <tbody>
            {rows.map(({ id, at, kind, ref, what, gap }) => (
              <tr key={id}>
                <td data-label={words.time} className="figures">
                  {format.dayAndClock(at)}
                </td>
                <td data-label={words.what}>
                  <Thing kind={kind} id={ref}>
                    {what}
                  </Thing>
                </td>
                <td data-label={words.state}>
                  <Tag frame={gap ? 'full' : 'plain'}>{gap ? words.isGap : words.isProof}</Tag>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {proof.hasNextPage && (
        <p>
          <Button isDisabled={proof.isFetchingNextPage} onPress={() => void proof.fetchNextPage()}>
            {REVIEW.more}
          </Button>
        </p>
      )}
    </>
  );
}
