import type { Instant } from '../time/instant.js';

/** When an accepted plan has a step of a run begin; with `step` null, when it has the last one end. */
export interface PlannedStart {
  step: string | null;
  startsAt: Instant;
}

/**
 * When a plan, its moments in order, has a step start or end: a rack goes straight from one step into the next, so a step
 * ends when the one after it begins. Null for what the plan does not know.
 * `plannedAt([{step: 'dye', startsAt: '…10:00…'}, {step: null, startsAt: '…10:20…'}], 'dye', 'end')` is '…10:20…'.
 */
export function plannedAt(plan: readonly PlannedStart[], step: string, kind: 'start' | 'end'): Instant | null {
  const n = plan.findIndex((moment) => moment.step === step);
  return n < 0 ? null : (plan[kind === 'start' ? n : n + 1]?.startsAt ?? null);
}
