import { Refusal } from '../refusal.js';
import { Fields } from '../time/fields.js';
import { summarise } from '../statistics/sample.js';
import { cusum, ewma, individualsChart } from './charts.js';
import { zScore, type Limits } from './limits.js';
import { judgeRuns, type ControlRun, type Firing, type Observation, type Verdict } from './multirule.js';
import { RULES, usualWeights, type Rule } from './rules.js';

export interface MultiruleResult {
  id: string;
  /** Runs count from 1. */
  fired: (Firing & { run: number })[];
  verdicts: Verdict[];
  verdictsGatedByWarning: Verdict[];
}

/**
 * Judges one case `{id, rules, levels, resetBeforeRun}` as given in JSON, each level with its z by run, or its mean, SD and
 * results x, as decimal texts or numbers, null where it was not measured; refuses one that cannot be computed.
 * `computeMultirule({id: 'P', rules: ['1-3s'], levels: [{level: 'L1', z: ['3.2']}], resetBeforeRun: []})` is `{id: 'P',
 * fired: [{run: 1, rule: '1-3s', levels: ['L1']}], verdicts: ['reject'], verdictsGatedByWarning: ['reject']}`.
 */
export function computeMultirule(input: unknown): MultiruleResult {
  const fields = new Fields(input);
  const id = fields.text('id');
  const rules = fields.values('rules').map(ruleOf);
  const levels = fields.list('levels').map((level) => ({ name: level.text('level'), z: readZ(level) }));
  const names = levels.map(({ name }) => name);
  const count = levels[0]?.z.length ?? 0;
  if (new Set(names).size !== names.length)
    throw malformed(`a level is named twice in ${names.join(', ')}; name each once`);
  const short = levels.find(({ z }) => z.length !== count);
  if (count === 0 || short) {
    throw malformed('each level must list every run, at least one, with null where it was not measured');
  }
  const resets = resetsOf(fields, count);
  const runs = Array.from({ length: count }, (_, index): ControlRun => {
    const observations = levels.flatMap(({ name, z }): Observation[] => {
      const value = z[index];
      return typeof value === 'number' ? [{ level: name, z: value }] : [];
    });
    return { observations, afterReset: resets.has(index + 1) };
  });
  const judged = judgeRuns(names, runs, usualWeights(rules));
  return {
    id,
    fired: judged.flatMap(({ fired }, index) => fired.map((firing) => ({ run: index + 1, ...firing }))),
    verdicts: judged.map(({ verdict }) => verdict),
    verdictsGatedByWarning: judged.map(({ gatedVerdict }) => gatedVerdict),
  };
}

export interface LimitsResult {
  id: string;
  mean: number;
  MRbar: number;
  /** The ordinary standard deviation of the calibration; the limits stand on sigmaMR. */
  sd: number;
  sigmaMR: number;
  lcl: number;
  ucl: number;
  beyond: number[];
  ewma: { lambda: number; L: number; z: number[]; lcl: number[]; ucl: number[]; beyond: number[] };
  cusum: { k: number; h: number; cplus: number[]; cminus: number[]; beyond: number[] };
}

/** The settings of the charts beside the control chart, as the cases use them. */
const EWMA = { lambda: 0.2, L: 3 };
const CUSUM = { k: 0.5, h: 4 };

/**
 * Computes one case `{id, chart: 'individuals', x, calibration}` as given in JSON: the chart of single results, EWMA and
 * CUSUM; refuses one that cannot be computed. `computeLimits({id: 'S', chart: 'individuals', x: [1, 2, 1, 2], calibration:
 * 4})` has mean 1.5, MRbar 1 and sigmaMR 0.886226925452758.
 */
export function computeLimits(input: unknown): LimitsResult {
  const fields = new Fields(input);
  const id = fields.text('id');
  if (fields.text('chart') !== 'individuals') throw malformed(`chart is "${fields.text('chart')}"; give "individuals"`);
  const x = fields.signedNumbers('x');
  const calibration = fields.number('calibration');
  const { mean, meanMovingRange, sigma, lcl, ucl, beyond } = individualsChart(x, calibration);
  const target: Limits = { mean, sd: sigma };
  const { above, below, beyond: alarms } = cusum(x, target, CUSUM);
  return {
    id,
    mean,
    MRbar: meanMovingRange,
    sd: summarise(x.slice(0, calibration)).sd,
    sigmaMR: sigma,
    lcl,
    ucl,
    beyond,
    ewma: { ...EWMA, ...ewma(x, target, EWMA) },
    cusum: { ...CUSUM, cplus: above, cminus: below, beyond: alarms },
  };
}

function ruleOf(value: unknown): Rule {
  const rule = RULES.find((known) => known === value);
  if (rule === undefined) throw malformed(`${JSON.stringify(value)} is no rule; the rules are ${RULES.join(', ')}`);
  return rule;
}

function readZ(level: Fields): (number | null)[] {
  if (level.has('z')) return level.values('z').map(decimal);
  const limits = { mean: given(level, 'mean'), sd: given(level, 'sd') };
  return level.values('x').map((value) => {
    const x = decimal(value);
    return x === null ? null : zScore(x, limits);
  });
}

function given(level: Fields, name: 'mean' | 'sd'): number {
  return decimal(level.has(name) && level.text(name)) ?? Number.NaN;
}

const DECIMAL = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/;

function decimal(value: unknown): number | null {
  if (value === null) return null;
  const number = typeof value === 'string' && DECIMAL.test(value) ? Number(value) : value;
  if (typeof number !== 'number' || !Number.isFinite(number)) {
    throw malformed(`${JSON.stringify(value)} is no result; give a decimal number such as "1.25", or null for none`);
  }
  return number;
}

function resetsOf(fields: Fields, runs: number): Set<number> {
  const resets = fields.has('resetBeforeRun') ? fields.numbers('resetBeforeRun') : [];
  const wrong = resets.find((run) => !Number.isInteger(run) || run < 1 || run > runs);
  if (wrong !== undefined) throw malformed(`a reset stands before run ${wrong}; give a whole number from 1 to ${runs}`);
  return new Set(resets);
}

function malformed(message: string): Refusal {
  return new Refusal('invalid', 'malformed-case', message);
}
