/** What a rule that fired means for its run: do not report, look, or nothing but a remark. */
export const WEIGHTS = ['reject', 'warn', 'note'] as const;
export type Weight = (typeof WEIGHTS)[number];

/**
 * The control rules of Westgard et al., Clin Chem 1981;27:493-501, and their variants. "n-ks": n consecutive z beyond the
 * same k; "nx": n on one side of the mean; "7T": seven in a row rising or falling; "R-4s": in one run one level above +2
 * and another below -2; "R-4s-range": highest minus lowest in one run above 4, the other reading of the same rule.
 */
export const RULES = [
  '1-2s',
  '1-3s',
  '2-2s',
  '2of3-2s',
  'R-4s',
  'R-4s-range',
  '3-1s',
  '4-1s',
  '6x',
  '8x',
  '9x',
  '10x',
  '12x',
  '7T',
] as const;

export type Rule = (typeof RULES)[number];

/** The rules in use and what each means when it fires. */
export type RuleWeights = Partial<Record<Rule, Weight>>;

/**
 * The usual meaning of chosen rules: 1-2s warns, the range form of R-4s is reported only, any other rejects (Westgard et
 * al. 1981; a laboratory may weigh its trend rules lighter). `usualWeights(['1-2s', '10x'])` is `{'1-2s': 'warn', '10x':
 * 'reject'}`.
 */
export function usualWeights(rules: readonly Rule[]): RuleWeights {
  return Object.fromEntries(rules.map((rule) => [rule, USUAL[rule] ?? 'reject']));
}

const USUAL: RuleWeights = { '1-2s': 'warn', 'R-4s-range': 'note' };

/** A rule that counts consecutive z on the same side of a limit. */
export interface Streak {
  count: number;
  /** Standard deviations from the mean, 0 for the mean itself. */
  beyond: 0 | 1 | 2 | 3;
}

/** The rules that look for a streak, whether within one level or over whole runs. */
export const STREAKS: Partial<Record<Rule, Streak>> = {
  '1-2s': { count: 1, beyond: 2 },
  '1-3s': { count: 1, beyond: 3 },
  '2-2s': { count: 2, beyond: 2 },
  '3-1s': { count: 3, beyond: 1 },
  '4-1s': { count: 4, beyond: 1 },
  '6x': { count: 6, beyond: 0 },
  '8x': { count: 8, beyond: 0 },
  '9x': { count: 9, beyond: 0 },
  '10x': { count: 10, beyond: 0 },
  '12x': { count: 12, beyond: 0 },
};
