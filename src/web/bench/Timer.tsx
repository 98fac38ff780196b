import { dipAt } from '../../core/run/dips.js';
import { type NextAction, passedMs } from '../../core/run/next.js';
import type { Stamp } from '../../core/time/duration.js';
import { useSession } from '../app/session.js';
import { timerText } from '../parts/format.js';
import { useBeat } from '../parts/ticker.js';
import { countdown, type Countdown } from './countdown.js';
import { BENCH } from './words.js';

/** The countdown of an action, rendered again only when what it says changes. */
export function useCountdown(action: NextAction): Countdown {
  const said = useBeat((now) => {
    const { phase, word, text } = countdown(action, action.since && passedMs(action.since, now));
    return `${phase}|${word}|${text}`;
  });
  const [phase, word, text] = said.split('|') as [Countdown['phase'], Countdown['word'], string];
  return { phase, word, text };
}

/** How long a running step has run. */
export function Running({ since }: { since: Stamp }) {
  const text = useBeat((now) => timerText(passedMs(since, now)));
  return (
    <span className="figures" role="timer">
      {text}
    </span>
  );
}

/** Which dip is due of a running step that is counted by dips; its beat is heard as well. */
export function Dips({ action: { kind, step, since } }: { action: NextAction }) {
  const dip = useBeat((now) => (kind === 'end' && step && since ? dipAt(step, passedMs(since, now)) : null));
  if (dip === null || step?.dips === undefined) return null;
  return <p className="limits figures">{BENCH.dip(dip, step.dips)}</p>;
}

/** The three times that an action must keep, by the wall clock of the laboratory. */
export function Limits({ action }: { action: NextAction }) {
  const { format } = useSession();
  const { from, target, by, kind } = action;
  const said = [
    from && kind === 'end' ? BENCH.mayFrom(format.clock(from)) : null,
    target && target !== from && kind === 'end' ? BENCH.aimAt(format.clock(target)) : null,
    by ? (kind === 'end' ? BENCH.mustEndBy : BENCH.mustStartBy)(format.clock(by)) : null,
  ].filter((each) => each !== null);
  return said.length === 0 ? null : <p className="limits">{said.join(' · ')}</p>;
}
