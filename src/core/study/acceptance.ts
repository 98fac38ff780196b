import { Refusal } from '../refusal.js';
import { differences, equivalence, limitsIntervals, type Differences, type Equivalence } from './differences.js';
import { kappa, type Coefficient } from './kappa.js';
import { linearity, type Linearity } from './linearity.js';
import type { Pairs } from './pairs.js';
import { passingBablok, type PassingBablok } from './passing-bablok.js';
import { proportion, type Interval } from './proportion.js';
import { deming, type Deming } from './regression.js';
import { casesForClaim, pairsForEquivalence } from './sample-size.js';
import { signedRank } from './signed-rank.js';
import { mcnemar } from './symmetry.js';

/** What is compared: yes or no, steps of a scale, or numbers. */
export const STUDY_KINDS = ['qualitative', 'ordinal', 'numeric'] as const;
export type StudyKind = (typeof STUDY_KINDS)[number];

/** How many pairs are planned, and why so many. */
export interface Design {
  pairs: number;
  /** What the number was reckoned from; absent when it is given by the reason alone. */
  from?: DesignGoal;
  reason: string;
}

/** What the number of pairs is reckoned from. */
export type DesignGoal =
  /** So many may disagree, and still at least this share agrees with this one-sided confidence. */
  | { question: 'agreement'; claim: number; confidence: number; disagreeing: number }
  /** Equivalence within a margin is shown with this power when the paired differences have this SD. */
  | { question: 'equivalence'; margin: number; sd: number; power: number };

/** When the new lot is as good as the old one; fixed before the first pair. */
export type Criteria =
  /** The observed agreement, the lower end of its 95 % interval (Clopper-Pearson), kappa: each at least so much. */
  | { agreement: number; lowerLimit?: number; kappa?: number }
  /** The 90 % interval of the mean difference, old minus new, lies within these limits (two one-sided tests at 5 %). */
  | { low: number; high: number };

/** One criterion with what was found. */
export interface Met {
  what: 'agreement' | 'lowerLimit' | 'kappa' | 'equivalence';
  wanted: number | Interval;
  found: number | Interval | null;
  met: boolean;
}

/** Agreement on a scale. Rows of the table are the new lot, columns the old, in the order of the categories. */
export interface ScaleResults {
  kind: 'qualitative' | 'ordinal';
  n: number;
  table: number[][];
  agreement: number;
  interval: Interval;
  kappa: Pick<Coefficient, 'estimate' | 'ci'>;
  /** Quadratic weights; null for two categories. */
  weighted: Pick<Coefficient, 'estimate' | 'ci'> | null;
  /** Two-sided p that neither lot stains stronger: McNemar's exact test, or Wilcoxon's signed rank. */
  shiftP: number | null;
}

export interface NumericResults {
  kind: 'numeric';
  n: number;
  differences: Differences;
  limitsCi: { lower: Interval; upper: Interval } | null;
  deming: Deming | null;
  passingBablok: PassingBablok | null;
  linearity: Linearity | null;
  equivalence: Equivalence;
}

export type StudyResults = (ScaleResults | NumericResults) & {
  criteria: Met[];
  met: boolean;
  /** What whoever decides should know of the figures, in words. */
  remarks: string[];
};

/**
 * How many pairs a goal asks for: for agreement by Clopper and Pearson (casesForClaim), for equivalence by Julius' formula at alpha
 * 0.05 (pairsForEquivalence). `plannedPairs({question: 'agreement', claim: 0.9, confidence: 0.95, disagreeing: 0})` is 29.
 */
export function plannedPairs(goal: DesignGoal): number {
  if (goal.question === 'agreement') return casesForClaim(goal.disagreeing, goal.claim, goal.confidence);
  return pairsForEquivalence({ difference: goal.margin, sd: goal.sd, alpha: 0.05, power: goal.power });
}

/** Refuses criteria that do not fit the kind of study, or that nothing or anything would meet. */
export function checkCriteria(kind: StudyKind, criteria: Criteria): void {
  const wrong = (at: string, message: string): never => {
    throw new Refusal('invalid', 'bad-criteria', message, [{ at: `criteria.${at}`, message }]);
  };
  if (kind === 'numeric') {
    if (!('low' in criteria)) return wrong('low', 'A comparison of numbers is decided by limits: give low and high.');
    if (!(criteria.low < 0 && criteria.high > 0)) {
      wrong('low', `The limits are ${criteria.low} and ${criteria.high}; give them around 0, such as -0.05 and 0.05.`);
    }
    return;
  }
  if (!('agreement' in criteria))
    return wrong('agreement', 'A comparison of readings is decided by agreement: give the least share.');
  const { agreement, lowerLimit = 0, kappa: least = 0 } = criteria;
  if (!(agreement > 0 && agreement <= 1))
    wrong('agreement', `The agreement is ${agreement}; give a share above 0, up to 1.`);
  if (!(lowerLimit >= 0 && lowerLimit < agreement)) {
    wrong('lowerLimit', `The lower limit is ${lowerLimit}; give 0 or more, below the agreement of ${agreement}.`);
  }
  if (!(least >= 0 && least <= 1)) wrong('kappa', `Kappa is ${least}; give 0 to 1.`);
}

/**
 * What a decision must give its own reason for, in words: fewer pairs than planned, or an acceptance against a criterion; null when
 * it keeps to the plan.
 */
export function deviationOf(
  { pairs }: Pick<Design, 'pairs'>,
  { n, met }: Pick<StudyResults, 'n' | 'met'>,
  standing: 'accepted' | 'rejected',
): string | null {
  if (n < pairs)
    return `${n} pairs count and ${pairs} were planned; add the others, or say why it is decided without them.`;
  if (standing === 'accepted' && !met)
    return 'A criterion is not met; reject the lot, or say why it is accepted all the same.';
  return null;
}

/** The fewest pairs from which anything can be reckoned. */
export const LEAST_PAIRS = 3;

/** Authors advise at least 30 pairs for the method of Passing and Bablok (from memory). */
const FOR_PASSING_BABLOK = 30;

/**
 * All figures of a study and which criteria they meet; x of the pairs is the old lot, y the new, categories by their position. Null
 * below three pairs. Refuses a position that is none of the `categories`.
 */
export function studyResults(
  { kind, criteria, categories }: { kind: StudyKind; criteria: Criteria; categories: number },
  pairs: Pairs,
): StudyResults | null {
  if (pairs.x.length < LEAST_PAIRS) return null;
  return kind === 'numeric'
    ? numericResults(pairs, criteria as { low: number; high: number })
    : scaleResults(kind, pairs, criteria as { agreement: number; lowerLimit?: number; kappa?: number }, categories);
}

function numericResults(pairs: Pairs, { low, high }: { low: number; high: number }): StudyResults {
  const n = pairs.x.length;
  const found = differences(pairs);
  const line = passingBablok(pairs);
  const equal = equivalence(pairs, low, high);
  const straight = line && linearity(pairs, line);
  return {
    kind: 'numeric',
    n,
    differences: found,
    limitsCi: found.sd > 0 ? limitsIntervals(found) : null,
    deming: deming(pairs, 1),
    passingBablok: line,
    linearity: straight,
    equivalence: equal,
    criteria: [{ what: 'equivalence', wanted: [low, high], found: equal.ci, met: equal.equivalent }],
    met: equal.equivalent,
    remarks: [
      ...(n < FOR_PASSING_BABLOK
        ? [`The line of Passing and Bablok should rest on at least ${FOR_PASSING_BABLOK} pairs.`]
        : []),
      ...(line === null ? ['The new lot’s values do not rise with the old one’s: no line can be drawn.'] : []),
      ...(straight?.deviates ? ['The two lots are not linear to each other: no line tells the difference.'] : []),
    ],
  };
}

function scaleResults(
  kind: 'qualitative' | 'ordinal',
  pairs: Pairs,
  wanted: { agreement: number; lowerLimit?: number; kappa?: number },
  categories: number,
): StudyResults {
  const table = tableOf(pairs, categories);
  const n = pairs.x.length;
  const hits = table.reduce((sum, row, i) => sum + (row[i] ?? 0), 0);
  const interval = proportion(hits, n, 0.95).clopperPearson ?? [0, 1];
  const agreement = hits / n;
  const plain = kappa(table, 'none');
  const weighted = kind === 'ordinal' && categories > 2 ? kappa(table, 'quadratic') : null;
  const judged = weighted ?? plain;
  const criteria: Met[] = [
    { what: 'agreement', wanted: wanted.agreement, found: agreement, met: agreement >= wanted.agreement },
    ...(wanted.lowerLimit === undefined
      ? []
      : [
          {
            what: 'lowerLimit' as const,
            wanted: wanted.lowerLimit,
            found: interval[0],
            met: interval[0] >= wanted.lowerLimit,
          },
        ]),
    ...(wanted.kappa === undefined
      ? []
      : [
          {
            what: 'kappa' as const,
            wanted: wanted.kappa,
            found: judged.estimate,
            met: judged.estimate !== null && judged.estimate >= wanted.kappa,
          },
        ]),
  ];
  return {
    kind,
    n,
    table,
    agreement,
    interval,
    kappa: { estimate: plain.estimate, ci: plain.ci },
    weighted: weighted && { estimate: weighted.estimate, ci: weighted.ci },
    shiftP:
      kind === 'qualitative'
        ? mcnemar(table[1]?.[0] ?? 0, table[0]?.[1] ?? 0).exactP
        : (signedRank(pairs).exact?.twoSided ?? signedRank(pairs).normalP),
    criteria,
    met: criteria.every(({ met }) => met),
    remarks: [
      ...(judged.estimate === null ? ['All readings are of one category, so kappa says nothing.'] : []),
      ...(oneSided(table) ? ['All material was of one category with the old lot: take some of each.'] : []),
    ],
  };
}

function oneSided(table: readonly (readonly number[])[]): boolean {
  const columns = table.map((_, j) => table.reduce((sum, row) => sum + (row[j] ?? 0), 0));
  return columns.filter((count) => count > 0).length === 1;
}

function tableOf({ x, y }: Pairs, categories: number): number[][] {
  const table = Array.from({ length: categories }, () => new Array<number>(categories).fill(0));
  x.forEach((old, i) => {
    const row = table[y[i] ?? -1];
    if (row?.[old] === undefined) {
      throw new Refusal(
        'invalid',
        'no-such-category',
        `${old} and ${y[i]} are no two of ${categories} categories, counted from 0`,
      );
    }
    row[old] += 1;
  });
  return table;
}
