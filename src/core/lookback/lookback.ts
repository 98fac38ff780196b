/** What can make earlier work be looked at again. */
export const LOOKBACK_CAUSES = ['lot recalled', 'control failed', 'record corrected'] as const;
export type LookbackCause = (typeof LOOKBACK_CAUSES)[number];

/** What a person decides on one specimen or slide that a lookback touches. */
export const LOOKBACK_OUTCOMES = ['not affected', 'to be repeated', 'withdrawn', 'cannot be repeated'] as const;
export type LookbackOutcome = (typeof LOOKBACK_OUTCOMES)[number];
