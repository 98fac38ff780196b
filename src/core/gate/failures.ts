import { coveredBy, type CoveredRun, type FailureFacts } from '../controls/covered.js';
import { controlReadings, type RunState } from '../run/state.js';
import { lotsUsed } from './controls.js';
import type { RunFacts } from './facts.js';
import type { Finding } from './finding.js';
import { finding } from './make-finding.js';

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
