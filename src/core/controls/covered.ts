import type { LookbackOutcome } from '../lookback/lookback.js';
import type { Instant } from '../time/instant.js';

type Lots = Record<string, string>;

/** A control's result that did not pass. */
export interface FailureFacts {
  resultId: string;
  requirement: string;
  runId: string | null;
  subjectId: string | null;
  at: Instant;
  stainedAt: Instant;
  observed: string;
  lots: Lots;
  /** Whether it was closed by signature. */
  closed: boolean;
  /** What was decided on this run's specimens and slides, the last word on each. */
  decided: { subjectId: string; outcome: LookbackOutcome }[];
}

/** A control's result that passed. */
export interface PassFacts {
  requirement: string;
  stainedAt: Instant;
  lots: Lots;
}

/** A run as a failure looks at it. */
export interface CoveredRun {
  runId: string;
  startedAt: Instant;
  lots: Lots;
}

/**
 * Whether a failed control speaks against a run: it was stained in it, or with all the run's lots, and no control of the
 * same requirement that passed with these lots was stained between the two, which reaches back to the last passing one
 * and forward to the first passing repeat (42 CFR 493.1282(b)(2)). A control whose lots nobody said covers any.
 * A failure at 11:00, a pass at 8:00: the run of 9:30 with the same lots is covered, that of 7:30 is not.
 */
export function coveredBy(
  failure: Pick<FailureFacts, 'runId' | 'requirement' | 'stainedAt' | 'lots'>,
  run: CoveredRun,
  passes: readonly PassFacts[],
): boolean {
  if (failure.runId === run.runId) return true;
  if (Object.keys(failure.lots).length > 0 && !stainedWith(run.lots, failure.lots)) return false;
  const [from, to] = [failure.stainedAt, run.startedAt].sort() as [Instant, Instant];
  return !passes.some(
    (pass) =>
      pass.requirement === failure.requirement &&
      pass.stainedAt >= from &&
      pass.stainedAt <= to &&
      stainedWith(run.lots, pass.lots),
  );
}

/** Whether every lot of a run is among those that a control was stained with. */
export function stainedWith(run: Lots, control: Lots): boolean {
  return Object.entries(run).every(([reagent, lot]) => control[reagent] === lot);
}
