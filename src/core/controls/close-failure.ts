import { Refusal } from '../refusal.js';
import type { CaseMeaning, FailureEnd } from './failure.js';
import type { ControlResult } from './result.js';

/** What a failure is closed on. */
export interface FailureStanding {
  failed: Pick<ControlResult, 'requirement' | 'protocolId' | 'stainedAt'>;
  closed: boolean;
  hasCause: boolean;
  hasAction: boolean;
  /** The later result that was named as the repeat. */
  repeat: Pick<ControlResult, 'requirement' | 'protocolId' | 'stainedAt' | 'passed'> | null;
  /** What it covers that its lookback has no answer for. */
  unanswered: { runId: string; subjectId: string; label: string }[];
}

/**
 * Refuses to close a failure on less than it takes: cause and corrective action recorded, every case evaluated (42 CFR
 * 493.1282(b)(2)), and a repeat that passed; one that ends as withdrawn or not repeatable says what that means for each
 * case that the lookback did not answer.
 */
export function checkClose(standing: FailureStanding, ended: FailureEnd, cases: readonly CaseMeaning[]): void {
  if (standing.closed) throw new Refusal('conflict', 'closed-already', 'This failure is closed already.');
  if (!standing.hasCause) throw missing('cause', 'Record the cause first, even if it is that none was found.');
  if (ended === 'repeated' && !standing.hasAction) throw missing('action', 'Record the corrective action first.');
  if (ended === 'repeated' && !standing.repeat) {
    throw missing('repeat', 'Name the repeat that passed first, or close it as withdrawn or not repeatable.');
  }
  if (standing.repeat && ended === 'repeated') checkRepeat(standing.failed, standing.repeat);
  const told = (each: { runId: string; subjectId: string }): boolean =>
    ended !== 'repeated' && cases.some(({ runId, subjectId }) => runId === each.runId && subjectId === each.subjectId);
  const open = standing.unanswered.filter((each) => !told(each));
  if (open.length === 0) return;
  const what =
    ended === 'repeated' ? 'answer it in the lookback' : 'answer it in the lookback or say here what it means';
  throw new Refusal(
    'conflict',
    'cases-open',
    `${open.length} covered ${open.length === 1 ? 'case is' : 'cases are'} not answered yet.`,
    open.map(({ runId, subjectId, label }) => ({ at: `${runId}:${subjectId}`, message: `${label}: ${what}` })),
  );
}

/** Refuses a repeat that does not answer for the control that failed. */
export function checkRepeat(
  failed: Pick<ControlResult, 'requirement' | 'protocolId' | 'stainedAt'>,
  repeat: Pick<ControlResult, 'requirement' | 'protocolId' | 'stainedAt' | 'passed'>,
): void {
  if (repeat.protocolId !== failed.protocolId || repeat.requirement !== failed.requirement) {
    throw missing('repeatId', `A repeat is of the same control; this one answers "${repeat.requirement}".`);
  }
  if (repeat.stainedAt <= failed.stainedAt) {
    throw missing('repeatId', 'A repeat is stained after the control that failed; this one was stained before.');
  }
  if (!repeat.passed) throw missing('repeatId', 'This one did not pass either; name one that passed.');
}

function missing(at: string, message: string): Refusal {
  return new Refusal('invalid', 'failure-open', message, [{ at, message }]);
}
