import { useMemo } from 'react';
import { momentsOf } from '../../core/run/ahead.js';
import type { Step } from '../../core/protocol/protocol.js';
import { epochMs, instantOf } from '../../core/time/instant.js';
import { useSession } from '../app/session.js';
import { beatNow, useBeat } from '../parts/ticker.js';
import { aheadOf, clashesToSay, clashesWithin, clashId, hasBegun } from './ahead.js';
import type { Standing } from './bench.js';
import { BENCH, stepName } from './words.js';

const words = BENCH.ahead;
const EYES = 2;
const ANEW_MS = 15_000;
const DAY_MS = 86_400_000;
/** No run has it: the rack is not loaded yet. */
const THIS = '';

/** Before a rack is loaded: its next two moments that want an eye, and what of it clashes with runs that have begun. */
export function LoadAhead({ steps, runs }: { steps: readonly Step[]; runs: readonly Standing[] }) {
  const { format } = useSession();
  const nowMs = useBeat((now) => Math.floor(epochMs(now.at) / ANEW_MS) * ANEW_MS);
  const { eyes, found } = useMemo(() => {
    const now = beatNow();
    const sinceMs = epochMs(now.at) - nowMs;
    const own = momentsOf(steps).map((moment) => ({ ...moment, runId: THIS }));
    const all = [...own, ...aheadOf(runs.filter(hasBegun), now)].map((moment) => ({
      ...moment,
      at: instantOf(nowMs + sinceMs + moment.inMs),
    }));
    return {
      eyes: all.filter(({ runId, byEye }) => runId === THIS && byEye).slice(0, EYES),
      found: clashesWithin(all, DAY_MS, runs).filter(
        ({ first, second }) => first.runId === THIS || second.runId === THIS,
      ),
    };
  }, [steps, runs, nowMs]);
  if (eyes.length === 0 && found.length === 0) return null;
  const name = ({ step, kind, runId }: (typeof found)[number]['first']): string =>
    words.moment(
      stepName(step),
      kind,
      runId === THIS ? words.thisRack : (runs.find(({ id }) => id === runId)?.view.station ?? ''),
    );
  return (
    <div className="load-ahead">
      {eyes.length > 0 && (
        <p>
          {words.eyes} {eyes.map(({ step, at }) => words.eye(stepName(step), format.clock(at))).join('; ')}.
        </p>
      )}
      {found.length > 0 && (
        <ul className="ahead-clashes">
          {clashesToSay(found)
            .slice(0, EYES)
            .map(({ first, second }) => (
              <li key={clashId({ first, second })}>
                {words.clash(format.clock(first.at), name(first), name(second), first.byEye && second.byEye)}
              </li>
            ))}
        </ul>
      )}
    </div>
  );
}
