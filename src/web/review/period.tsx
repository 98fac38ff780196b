import { useQuery } from '@tanstack/react-query';
import { useParam } from '../app/router.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { ReviewScope } from '../api.paths.js';
import { plusDays } from '../../core/time/days.js';
import { epochMs, instantOf } from '../../core/time/instant.js';
import { Field } from '../parts/Field.js';
import { dayIn } from '../parts/format.js';
import { Nothing } from '../parts/Page.js';
import { benchClock } from '../parts/ticker.js';
import { REVIEW as words } from './words.js';

/** What is shown before anybody chose a period. */
const USUAL_DAYS = 30;

/** Days of a question, in the address; `ready` once it is known what may be asked. */
export interface Period {
  from: string;
  to: string;
  ready: boolean;
  scope: ReviewScope | undefined;
  setFrom: (day: string) => void;
  setTo: (day: string) => void;
}

export function usePeriod(): Period {
  const { laboratory } = useSession();
  const [from, setFrom] = useParam('from');
  const [to, setTo] = useParam('to');
  const { data: scope } = useQuery({ queryKey: ['review', 'scope'], queryFn: () => got(api.GET('/api/review/scope')) });
  const day = (at: string): string => dayIn(laboratory.zone, at);
  const grant = scope?.grant;
  const today = day(benchClock.now().at);
  const lastGranted = grant ? day(instantOf(epochMs(grant.to) - 1)) : today;
  const last = lastGranted < today ? lastGranted : today;
  const usual = plusDays(last, -USUAL_DAYS);
  const first = grant && day(grant.from) > usual ? day(grant.from) : usual;
  return {
    from: from ?? first,
    to: to ?? last,
    ready: scope !== undefined && scope.closed === null,
    scope,
    setFrom,
    setTo,
  };
}

export function PeriodFields({ period }: { period: Period }) {
  return (
    <>
      <Field label={words.from} type="date" value={period.from} onChange={period.setFrom} />
      <Field label={words.to} type="date" value={period.to} onChange={period.setTo} />
    </>
  );
}

/** What a reviewer may see, or why nothing; nothing for everybody else. */
export function ScopeNote({ scope }: Pick<Period, 'scope'>) {
  const { format } = useSession();
  if (!scope) return null;
  if (scope.closed !== null) {
    return (
      <Nothing title={words.scope.closed}>
        <p>{format.within(scope.closed)}</p>
      </Nothing>
    );
  }
  if (!scope.grant || scope.until === null) return null;
  const { from, to, protocols, areas } = scope.grant;
  return (
    <p className="small">
      {[
        words.scope.within(format.day(from), format.lastDay(to)),
        ...(protocols === null ? [] : [words.scope.protocols(protocols.join(', '))]),
        ...(areas === null ? [] : [words.scope.areas(areas.join(', '))]),
        words.scope.until(format.lastDay(scope.until)),
      ].join(' ')}
    </p>
  );
}
