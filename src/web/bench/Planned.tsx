import { Link } from 'react-aria-components';
import { epochMs } from '../../core/time/instant.js';
import type { NextAction } from '../../core/run/next.js';
import { useSession } from '../app/session.js';
import { useBeat } from '../parts/ticker.js';
import { BENCH } from './words.js';

/** From then on a plan is not followed any more: what comes after it may collide. */
const BEHIND_MS = 60_000;

/** When the accepted plan has an action, and once the bench is behind it, the way to a new one. */
export function Planned({ action: { planned } }: { action: NextAction }) {
  const { format } = useSession();
  const behind = useBeat(({ at }) => planned !== null && epochMs(at) - epochMs(planned) > BEHIND_MS);
  if (planned === null) return null;
  return (
    <p className="limits">
      {BENCH.plan.at(format.clock(planned))}
      {behind && (
        <>
          {' · '}
          <strong>{BENCH.plan.behind}</strong> <Link href="/plan">{BENCH.plan.again}</Link>
        </>
      )}
    </p>
  );
}
