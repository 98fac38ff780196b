/** What was done about a failed control, in order. */
export const FAILURE_ACTS = ['cause', 'action', 'repeat', 'closed'] as const;
export type FailureActKind = (typeof FAILURE_ACTS)[number];

/** How a failure ends: by a passing repeat, or signed as withdrawn or not repeatable. */
export const FAILURE_ENDS = ['repeated', 'withdrawn', 'not repeatable'] as const;
export type FailureEnd = (typeof FAILURE_ENDS)[number];

/** What the end of a failure that was not repeated means for one specimen or slide. */
export interface CaseMeaning {
  runId: string;
  subjectId: string;
  meaning: string;
}
