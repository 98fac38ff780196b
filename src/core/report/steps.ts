import { gapWindow, stepWindow, targetMs } from '../protocol/windows.js';
import { eventsOf, type Performance, type RunState, type StepState } from '../run/state.js';
import { measured } from '../time/measured.js';
import type { ReportedPerformance, ReportedStep } from './run-report.js';

const OPEN = { minMs: null, maxMs: null };

/**
 * The steps of a run with each performance measured against its window and the gap before it, ms, people by name; `driftPpm`
 * as in `elapsed`. A step that was not done has no performances.
 */
export function reportedSteps(state: RunState, nameOf: (personId: string) => string, driftPpm: number): ReportedStep[] {
  const furthest = state.steps.findLastIndex(({ performances }) => performances.length > 0);
  return state.steps.map((current) => {
    const { step, index, performances } = current;
    const { minMs, maxMs } = stepWindow(step);
    const before = state.steps.slice(0, index).findLast((each) => each.performances.length > 0);
    return {
      id: step.id,
      number: index + 1,
      action: step.action,
      critical: step.critical,
      optional: step.optional === true,
      end: step.end,
      minMs,
      targetMs: targetMs(step),
      maxMs,
      gapMaxMs: gapWindow(step)?.maxMs ?? null,
      performances: performances.map((performance, n) =>
        reported(performance, n === 0 ? (before?.performances.at(-1) ?? null) : null, current, nameOf, driftPpm),
      ),
      temperatures: eventsOf(state.events, 'temperature-read')
        .filter(({ data }) => data.step === step.id)
        .map(({ data }) => `${data.value} ${data.unit}`),
      passedOver: index < furthest,
    };
  });
}

function reported(
  { started, ended }: Performance,
  before: Performance | null,
  { step }: StepState,
  nameOf: (personId: string) => string,
  driftPpm: number,
): ReportedPerformance {
  const limit = gapWindow(step);
  const since = before?.ended ?? null;
  const gap = since && measured(since.stamp, started.stamp, limit ?? OPEN, driftPpm);
  return {
    startedAt: started.stamp.at,
    endedAt: ended?.stamp.at ?? null,
    measured: ended && measured(started.stamp, ended.stamp, stepWindow(step), driftPpm),
    judgedBy: ended?.judgedBy ? nameOf(ended.judgedBy) : null,
    late: started.stamp.late || ended?.stamp.late === true,
    gap: gap && since && { from: since.stamp.at, elapsed: gap.elapsed, verdict: limit ? gap.verdict : null },
  };
}
