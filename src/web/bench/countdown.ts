import { type NextAction, type Phase, phaseAt } from '../../core/run/next.js';
import { timerText } from '../parts/format.js';

/** The one time that matters most now: what it counts to, and how much of it is left or past. */
export interface Countdown {
  phase: Phase;
  word: 'early' | 'aim' | 'endWithin' | 'startWithin' | 'over' | 'running' | 'ready';
  /** Empty when nothing sets a time. */
  text: string;
}

type Times = Pick<NextAction, 'kind' | 'minMs' | 'targetMs' | 'maxMs'>;

/**
 * What to count for an action once so many ms have passed since its mark; null for one without a mark. First to the
 * minimum, then to the target, then to the end of the window, and then how long it has been over.
 */
export function countdown(action: Times, passed: number | null): Countdown {
  if (passed === null) return { phase: 'open', word: 'ready', text: '' };
  const gone = Math.max(passed, 0);
  const phase = phaseAt(action, gone);
  const { kind, minMs, targetMs, maxMs } = action;
  const to = (word: Countdown['word'], ms: number): Countdown => ({ phase, word, text: timerText(ms - gone, 'down') });
  if (phase === 'over') return { phase, word: 'over', text: timerText(gone - (maxMs ?? 0)) };
  if (phase === 'early') return to('early', minMs ?? 0);
  if (kind === 'end' && phase === 'open' && targetMs !== null && gone < targetMs) return to('aim', targetMs);
  if (maxMs !== null) return to(kind === 'end' ? 'endWithin' : 'startWithin', maxMs);
  return kind === 'end' ? { phase, word: 'running', text: timerText(gone) } : { phase, word: 'ready', text: '' };
}
