import { clashes, type Clash, type MomentOfRun, momentsAhead } from '../../core/run/ahead.js';
import type { Stamp } from '../../core/time/duration.js';
import type { Standing } from './bench.js';

/** Two slides cannot both be judged by one pair of eyes within this (common practice, no source). */
export const EYES_APART_MS = 30_000;

/** Whether a rack is loaded: only then do its moments come by themselves. */
export function hasBegun({ state }: Standing): boolean {
  return state.steps.some(({ performances }) => performances.length > 0);
}

/** What lies ahead of all runs. */
export function aheadOf(runs: readonly Standing[], now: Stamp): MomentOfRun[] {
  return runs.flatMap((run) => momentsAhead(run, now).map((moment) => ({ ...moment, runId: run.id })));
}

/**
 * What of it clashes within a time for one pair of hands; what is due already cannot be kept apart any more. Runs at
 * different stations whose last acts were of different people are in different hands.
 */
export function clashesWithin<Moment extends MomentOfRun>(
  moments: readonly Moment[],
  ms: number,
  runs: readonly Standing[],
): Clash<Moment>[] {
  const standing = new Map(runs.map((run) => [run.id, run]));
  const near = moments.filter(({ inMs }) => inMs > 0 && inMs <= ms);
  return clashes(near, EYES_APART_MS).filter(({ first, second }) => {
    const [one, other] = [standing.get(first.runId), standing.get(second.runId)];
    return !one || !other || one.view.station === other.view.station || handsOf(one) === handsOf(other);
  });
}

/** Who did the last thing to a run, or started it. */
function handsOf({ view }: Standing): string {
  return view.events.at(-1)?.personId ?? view.personId;
}

/** Tells one clash from another: two moments of a run may clash with the same moment at the same second. */
export function clashId({ first, second }: Clash): string {
  return [first, second].map(({ runId, step, kind }) => `${runId} ${step.id} ${kind}`).join(' ');
}

/** Of clashes those to say: a rack that is lifted from one bath into the next clashes once, not with its end and its start. */
export function clashesToSay<Moment extends MomentOfRun>(found: readonly Clash<Moment>[]): Clash<Moment>[] {
  const moved = ({ first, second }: Clash): string =>
    [first, second].map(({ runId, inMs, byEye }) => `${runId} ${inMs} ${byEye}`).join(' ');
  return [...new Map(found.toReversed().map((clash) => [moved(clash), clash])).values()].toReversed();
}
