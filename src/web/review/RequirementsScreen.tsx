import { useQuery } from '@tanstack/react-query';
import { Link } from 'react-aria-components';
import { api, got } from '../api.js';
import type { Requirement } from '../api.paths.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import { PeriodFields, ScopeNote, usePeriod } from './period.js';
import './review.css';
import { REVIEW } from './words.js';

const words = REVIEW.requirements;

/** Each state with its frame: what asks for a person stands out, what nobody did most of all. */
const FRAMES = { proven: 'plain', gaps: 'double', 'no record': 'soft' } as const;

export function StateTag({ state }: Pick<Requirement, 'state'>) {
  return <Tag frame={FRAMES[state]}>{words.states[state]}</Tag>;
}

/** What is asked, and whether the record proves it in a period; what has gaps first. */
export default function RequirementsScreen() {
  const period = usePeriod();
  const { from, to } = period;
  const { data, error, refetch } = useQuery({
    queryKey: ['review', 'requirements', from, to],
    queryFn: () => got(api.GET('/api/review/requirements', { params: { query: { from, to } } })),
    enabled: period.ready,
    staleTime: Number.POSITIVE_INFINITY,
  });
  const all = data?.requirements ?? [];
  const of = (state: Requirement['state']): Requirement[] => all.filter((each) => each.state === state);
  const sorted = [...of('gaps'), ...of('no record'), ...of('proven')];
  return (
    <Page title={words.title} about={<p>{words.about}</p>}>
      <ScopeNote scope={period.scope} />
      {period.ready && (
        <div className="finder">
          <PeriodFields period={period} />
        </div>
      )}
      {period.ready && !data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data && (
        <Part title={words.summary(of('proven').length, of('gaps').length, of('no record').length, all.length)}>
          <ul className="lines">
            {sorted.map(({ id, clause, asks, state, records, gaps }) => (
              <li key={id} className="requirement">
                <Link href={`/record/requirements/${id}?from=${from}&to=${to}`} className="line-title">
                  {clause}
                </Link>
                <p>{asks}</p>
                <p className="tag-line">
                  <StateTag state={state} />
                  {records > 0 && <span className="small figures">{words.counts(records, gaps)}</span>}
                </p>
              </li>
            ))}
          </ul>
        </Part>
      )}
      <p className="small">{REVIEW.caution}</p>
    </Page>
  );
}
