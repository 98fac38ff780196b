import { Refusal } from '../refusal.js';
import { Fields } from '../time/fields.js';
import { differences, equivalence, type Equivalence } from './differences.js';
import { fleissKappa } from './fleiss.js';
import { ac1, kappa, pabak, rawAgreement, type Coefficient } from './kappa.js';
import { passingBablok, type PassingBablok } from './passing-bablok.js';
import { proportion, type Interval } from './proportion.js';
import { deming, leastSquares, type Line } from './regression.js';
import { casesForClaim, casesForWidth } from './sample-size.js';
import { mcnemar } from './symmetry.js';
import type { Table } from './table.js';

interface Share {
  estimate: number | null;
  wilson95: Interval | null;
  clopperPearson95: Interval | null;
}

interface Kappa {
  kappa: number | null;
  se: number | null;
  ci95: Interval | null;
}

export interface PositiveNegativeResult {
  id: string;
  sensitivity: Share;
  specificity: Share;
  ppv: Share;
  npv: Share;
  overallAgreement: Share;
  kappa: Kappa;
  pabak: number;
  ac1: number | null;
  mcnemar: { exactP: number; midP: number | null };
}

export interface GradesResult {
  id: string;
  agreement: number;
  kappa: Kappa;
  kappaLinear: Kappa;
  kappaQuadratic: Kappa;
  ac1: number | null;
}

export interface ReadersResult {
  id: string;
  kappa: number | null;
  kappaPerCategory: (number | null)[];
}

/**
 * Computes one case of agreement as given in JSON: a table of two categories by name, a table of ordered categories with the
 * new method in rows, or counts of readers per case and category; refuses one that cannot be computed.
 * `computeAgreement({id: 'K', table: [[20, 5], [10, 15]]})` has agreement 0.7 and kappa 0.4.
 */
export function computeAgreement(input: unknown): PositiveNegativeResult | GradesResult | ReadersResult {
  const fields = new Fields(input);
  const id = fields.text('id');
  if (fields.has('counts')) {
    const { estimate, perCategory } = fleissKappa(readTable(fields, 'counts'));
    return { id, kappa: estimate, kappaPerCategory: perCategory };
  }
  if (!fields.hasList('table')) return ofPositiveAndNegative(id, fields.object('table'));
  const table = readTable(fields, 'table');
  return {
    id,
    agreement: rawAgreement(table),
    kappa: kappaOf(kappa(table, 'none')),
    kappaLinear: kappaOf(kappa(table, 'linear')),
    kappaQuadratic: kappaOf(kappa(table, 'quadratic')),
    ac1: ac1(table).estimate,
  };
}

function ofPositiveAndNegative(id: string, fields: Fields): PositiveNegativeResult {
  const counts = ['bothPositive', 'newPositiveOnly', 'referencePositiveOnly', 'bothNegative'] as const;
  const [a, b, c, d] = counts.map((name) => fields.onlyKeys(...counts).number(name)) as [
    number,
    number,
    number,
    number,
  ];
  const table: Table = [
    [a, b],
    [c, d],
  ];
  return {
    id,
    kappa: kappaOf(kappa(table, 'none')),
    sensitivity: shareOf(a, a + c),
    specificity: shareOf(d, b + d),
    ppv: shareOf(a, a + b),
    npv: shareOf(d, c + d),
    overallAgreement: shareOf(a + d, a + b + c + d),
    pabak: pabak(table),
    ac1: ac1(table).estimate,
    mcnemar: exactMcnemar(b, c),
  };
}

function exactMcnemar(newOnly: number, referenceOnly: number): { exactP: number; midP: number | null } {
  const { exactP, midP } = mcnemar(newOnly, referenceOnly);
  return { exactP, midP };
}

function shareOf(hits: number, n: number): Share {
  const { estimate, wilson, clopperPearson } = proportion(hits, n, 0.95);
  return { estimate, wilson95: wilson, clopperPearson95: clopperPearson };
}

function kappaOf({ estimate, se, ci }: Coefficient): Kappa {
  return { kappa: estimate, se, ci95: ci };
}

type OpenInterval = [low: number | null, high: number | null];

export interface LotcompareResult {
  id: string;
  ols: (Line & { r: number }) | null;
  /** Null where x and y do not vary together, or leaving out a pair leaves no line. */
  deming: {
    varianceRatio: number;
    slope: number | null;
    intercept: number | null;
    slopeCi95: Interval | null;
    interceptCi95: Interval | null;
  }[];
  passingBablok: (Line & { slopeCi95: OpenInterval; interceptCi95: OpenInterval }) | null;
  differences: { bias: number; sd: number; biasCi95: Interval; limitsOfAgreement: Interval };
  equivalence: (Omit<Equivalence, 'ci'> & { ci90: Interval })[];
}

/**
 * Compares one case `{id, x, y, varianceRatios, equivalenceLimits}` of at least three pairs as given in JSON, x by the old lot
 * and y by the new; refuses one that cannot be computed. `computeLotcompare({id: 'L', x: [1, 2, 3], y: [1, 3, 5],
 * varianceRatios: [1], equivalenceLimits: []})` has a Deming slope of 2 and a bias of -1.
 */
export function computeLotcompare(input: unknown): LotcompareResult {
  const fields = new Fields(input);
  const pairs = { x: fields.signedNumbers('x'), y: fields.signedNumbers('y') };
  const { bias, sd, biasCi, limits } = differences(pairs);
  return {
    id: fields.text('id'),
    ols: leastSquares(pairs),
    deming: (fields.has('varianceRatios') ? fields.numbers('varianceRatios') : []).map((varianceRatio) => {
      const { slope = null, intercept = null, slopeCi = null, interceptCi = null } = deming(pairs, varianceRatio) ?? {};
      return { varianceRatio, slope, intercept, slopeCi95: slopeCi, interceptCi95: interceptCi };
    }),
    passingBablok: passingBablokOf(passingBablok(pairs)),
    differences: { bias, sd, biasCi95: biasCi, limitsOfAgreement: limits },
    equivalence: readLimits(fields).map(([low, high]) => {
      const { ci, ...result } = equivalence(pairs, low, high);
      return { ...result, ci90: ci };
    }),
  };
}

function passingBablokOf(line: PassingBablok | null): LotcompareResult['passingBablok'] {
  if (!line) return null;
  const { slope, intercept, slopeCi, interceptCi } = line;
  return { slope, intercept, slopeCi95: slopeCi, interceptCi95: interceptCi };
}

function readLimits(fields: Fields): [number, number][] {
  const limits = fields.has('equivalenceLimits') ? fields.values('equivalenceLimits') : [];
  return limits.map((item) => {
    const [low, high, ...more] = Array.isArray(item) ? (item as unknown[]) : [];
    if (typeof low !== 'number' || typeof high !== 'number' || more.length > 0) {
      throw malformed(`${JSON.stringify(item)} is no pair of limits; give two numbers such as [-0.05, 0.05]`);
    }
    return [low, high];
  });
}

export type SampleSizeResult =
  { id: string; clopperPearsonN: number; wilsonN: number; waldN: number } | { id: string; nByFailures: number[] };

/** The numbers of failures for which an acceptance case is answered. */
const FAILURES = [0, 1, 2, 3];

/**
 * Answers one case as given in JSON: `{id, question: 'halfWidth', confidence, expectedProportion, halfWidth}` or `{id, question:
 * 'acceptance', confidenceOneSided, claimAtLeast}`, the latter for 0 to 3 failures; refuses one that cannot be computed.
 * `computeSamplesize({id: 'N', question: 'acceptance', confidenceOneSided: 0.95, claimAtLeast: 0.95})` is `{id: 'N', nByFailures:
 * [59, 93, 124, 153]}`.
 */
export function computeSamplesize(input: unknown): SampleSizeResult {
  const fields = new Fields(input);
  const id = fields.text('id');
  const question = fields.text('question');
  if (question === 'acceptance') {
    const [confidence, claim] = [fields.number('confidenceOneSided'), fields.number('claimAtLeast')];
    return { id, nByFailures: FAILURES.map((failures) => casesForClaim(failures, claim, confidence)) };
  }
  if (question !== 'halfWidth') {
    throw malformed(`the question is "${question}"; the questions are halfWidth and acceptance`);
  }
  const { clopperPearson, wilson, wald } = casesForWidth({
    confidence: fields.number('confidence'),
    expected: fields.number('expectedProportion'),
    halfWidth: fields.number('halfWidth'),
  });
  return { id, clopperPearsonN: clopperPearson, wilsonN: wilson, waldN: wald };
}

function readTable(fields: Fields, name: string): number[][] {
  return fields.values(name).map((row) => {
    if (!Array.isArray(row) || !row.every((count) => typeof count === 'number')) {
      throw malformed(`${JSON.stringify(row)} is no row of ${name}; give a list of counts`);
    }
    return row as number[];
  });
}

function malformed(message: string): Refusal {
  return new Refusal('invalid', 'malformed-case', message);
}
