import type { LookbackOutcome } from '../lookback/lookback.js';
import { controlReadings, type RunState } from '../run/state.js';
import type { Instant } from '../time/instant.js';
import { lotsUsed } from './controls.js';
import type { RunFacts } from './facts.js';
import type { Finding } from './finding.js';
import { finding } from './make-finding.js';

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

/** What failed controls say of a run: of all of it while they are open, afterwards of what was decided on each case. */
export function failureFindings(facts: RunFacts, state: RunState): Finding[] {
  const { failures, passes } = facts.controlFailures;
  if (failures.length === 0) return [];
  const readings = controlReadings(state.events);
  const run: CoveredRun = { runId: facts.runId, startedAt: facts.startedAt, lots: lotsUsed(facts, state) };
  return failures
    .filter((failure) => coveredBy(failure, run, passes))
    .flatMap((failure) => {
      // A control of the run itself that did not pass says so by its own rule.
      const own = failure.runId === facts.runId && readings.get(failure.subjectId ?? '')?.data.passed === false;
      if (!failure.closed) return own ? [] : [openFinding(failure)];
      return failure.decided
        .filter(({ outcome }) => outcome !== 'not affected')
        .map(({ subjectId, outcome }) => decidedFinding(failure, subjectId, outcome));
    });
}

function openFinding({ resultId, requirement, at, observed }: FailureFacts): Finding {
  return finding('control-failure-open', {
    about: resultId,
    at,
    what: `The control "${requirement}" failed at ${at} with these lots, and no repeat that passed lies between it and this run.`,
    measured: observed,
  });
}

function decidedFinding({ resultId, requirement, at }: FailureFacts, subjectId: string, outcome: string): Finding {
  return finding('control-failure-decided', {
    about: `${resultId}:${subjectId}`,
    subjectId,
    at,
    what: `After the control "${requirement}" failed at ${at}, it was decided: ${outcome}.`,
  });
}
