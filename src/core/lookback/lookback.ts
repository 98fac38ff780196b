/** What can make earlier work be looked at again. */
export const LOOKBACK_CAUSES = ['lot recalled', 'control failed'] as const;
export type LookbackCause = (typeof LOOKBACK_CAUSES)[number];

/** What a person decides on one specimen or slide that a lookback touches. */
export const LOOKBACK_OUTCOMES = ['not affected', 'to be repeated', 'withdrawn', 'cannot be repeated'] as const;
export type LookbackOutcome = (typeof LOOKBACK_OUTCOMES)[number];

/** One patient's specimen or slide in one run that a lookback touches. */
export interface Touched {
  runId: string;
  subjectId: string;
}

/** What was decided on one of them. */
export interface LookbackAnswer extends Touched {
  outcome: LookbackOutcome;
  /** Record number of the answer; the highest one counts. */
  seq: number;
}

/** The answer that counts for a touched specimen or slide; null while it is in question. */
export function standingAnswer<Answer extends LookbackAnswer>(
  { runId, subjectId }: Touched,
  answers: readonly Answer[],
): Answer | null {
  return answers
    .filter((answer) => answer.runId === runId && answer.subjectId === subjectId)
    .reduce<Answer | null>((last, answer) => (last && last.seq > answer.seq ? last : answer), null);
}

/**
 * Why a lookback cannot be closed, in words; null when it can: every result since the last acceptable one is evaluated
 * before the matter is closed (42 CFR 493.1282(b)(2)). `closingFault({ touched: 3, answered: 2, closed: false })` says that
 * one still waits.
 */
export function closingFault({
  touched,
  answered,
  closed,
}: {
  touched: number;
  answered: number;
  closed: boolean;
}): string | null {
  const open = touched - answered;
  if (open > 0) {
    return `${open} of ${touched} specimens or slides ${open === 1 ? 'is' : 'are'} not answered yet; answer each first.`;
  }
  return closed ? 'It is closed already.' : null;
}
