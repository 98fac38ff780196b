import { Refusal } from '../refusal.js';
import { STREAKS, type Rule, type RuleWeights, type Streak } from './rules.js';
import { LevelHistory, Streaks, TOLERANCE } from './streaks.js';

/** One measurement of a control level: how many of its standard deviations it lies from its mean. */
export interface Observation {
  level: string;
  z: number;
}

/** One batch in which the levels were measured; a level that is missing or excluded is simply not there. */
export interface ControlRun {
  /** In the order measured; a level measured more often has several. */
  observations: readonly Observation[];
  /** A new control lot, new limits, a recalibration or a corrective action came before this run: look no further back. */
  afterReset?: boolean;
}

/** A rule that fired, written '2-2s-within' or '2-2s-across' where it has both forms, and the levels that made it. */
export interface Firing {
  rule: string;
  levels: string[];
}

export type Verdict = 'reject' | 'warn' | 'accept';

export interface RunJudgement {
  fired: Firing[];
  verdict: Verdict;
  /** By the manual flow of 1981, which looks at the rules only when some z of the run is beyond 2; it misses small shifts. */
  gatedVerdict: Verdict;
}

/**
 * Which control rules fire at each run and what that makes of it, by z values (Westgard et al., Clin Chem 1981;27:493-501;
 * windows and ties as common practice fixes them). Within a level the last consecutive observations since the last reset
 * count, across levels the last whole runs with all levels present, so that the order of levels never matters. Refuses a
 * level that is not among `levels` and a z that is not finite.
 * `judgeRuns(['L1'], [{observations: [{level: 'L1', z: 3.2}]}], {'1-3s': 'reject'})` is `[{fired: [{rule: '1-3s', levels:
 * ['L1']}], verdict: 'reject', gatedVerdict: 'reject'}]`.
 */
export function judgeRuns(levels: readonly string[], runs: Iterable<ControlRun>, weights: RuleWeights): RunJudgement[] {
  const chart = new RuleChart(levels, weights);
  const judgements: RunJudgement[] = [];
  for (const run of runs) judgements.push(chart.judge(run));
  return judgements;
}

/** A rule's condition within one level, asked after each of its observations. */
interface Within {
  rule: Rule;
  code: string;
  holds: (history: LevelHistory) => boolean;
}

/** A rule's condition over the levels of the current run, or over whole runs: each group of levels that meets it. */
interface Across {
  rule: Rule;
  code: string;
  groups: (run: RunShape, chart: Streaks) => string[][];
}

interface RunShape {
  observations: readonly Observation[];
  whole: boolean;
  lowest: number;
  highest: number;
}

/** A chart that judges run after run; see `judgeRuns`. */
export class RuleChart {
  readonly #levels: readonly string[];
  readonly #weights: RuleWeights;
  readonly #within: Within[];
  readonly #across: Across[];
  readonly #wholeRuns = new Streaks();
  #histories = new Map<string, LevelHistory>();

  constructor(levels: readonly string[], weights: RuleWeights) {
    this.#levels = levels;
    this.#weights = weights;
    const rules = (Object.keys(weights) as Rule[]).filter((rule) => weights[rule]);
    this.#within = rules.flatMap((rule) => withinForm(rule));
    this.#across = rules.flatMap((rule) => acrossForm(rule, levels));
    this.#reset();
  }

  judge({ observations, afterReset }: ControlRun): RunJudgement {
    if (afterReset) this.#reset();
    const fired = new Map<string, { rule: Rule; firing: Firing }>();
    const note = (rule: Rule, code: string, levels: string[]) =>
      fired.set(`${code} ${levels.join(' ')}`, { rule, firing: { rule: code, levels } });
    const run: RunShape = {
      observations,
      whole: this.#isWhole(observations),
      lowest: Number.POSITIVE_INFINITY,
      highest: Number.NEGATIVE_INFINITY,
    };
    for (const { level, z } of observations) {
      const history = this.#historyOf(level, z);
      history.add(z);
      if (z < run.lowest) run.lowest = z;
      if (z > run.highest) run.highest = z;
      for (const { rule, code, holds } of this.#within) if (holds(history)) note(rule, code, [level]);
    }
    if (run.whole) this.#wholeRuns.add(run.lowest, run.highest);
    else this.#wholeRuns.clear();
    for (const { rule, code, groups } of this.#across) {
      for (const group of groups(run, this.#wholeRuns)) note(rule, code, group);
    }
    const verdict = this.#verdictOf([...fired.values()].map(({ rule }) => rule));
    const beyond2 = isAbove2(run.highest) || isBelow2(run.lowest);
    return {
      fired: [...fired.entries()].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, { firing }]) => firing),
      verdict,
      gatedVerdict: beyond2 ? verdict : 'accept',
    };
  }

  #reset(): void {
    this.#histories = new Map(this.#levels.map((level) => [level, new LevelHistory()]));
    this.#wholeRuns.clear();
  }

  #historyOf(level: string, z: number): LevelHistory {
    const history = this.#histories.get(level);
    if (!history) {
      const known = this.#levels.join(', ');
      throw new Refusal('invalid', 'unknown-level', `"${level}" is no level of this control; its levels are ${known}`);
    }
    if (!Number.isFinite(z)) {
      throw new Refusal('invalid', 'bad-result', `the z value of ${level} is ${z}; give a finite number`);
    }
    return history;
  }

  #isWhole(observations: readonly Observation[]): boolean {
    return (
      observations.length >= this.#levels.length &&
      this.#levels.every((level) => observations.some((observation) => observation.level === level))
    );
  }

  #verdictOf(rules: Rule[]): Verdict {
    const weights = rules.map((rule) => this.#weights[rule]);
    if (weights.includes('reject')) return 'reject';
    return weights.includes('warn') ? 'warn' : 'accept';
  }
}

function withinForm(rule: Rule): Within[] {
  if (rule === '7T') return [{ rule, code: '7T-within', holds: (history) => history.trend() }];
  if (rule === '2of3-2s') return [{ rule, code: '2of3-2s-within', holds: (history) => history.twoOfThree() }];
  const streak = STREAKS[rule];
  if (!streak) return [];
  const code = streak.count === 1 ? rule : `${rule}-within`;
  return [{ rule, code, holds: (history) => history.streaks.has(streak) }];
}

function acrossForm(rule: Rule, levels: readonly string[]): Across[] {
  const code = `${rule}-across`;
  const levelsWith = ({ observations }: RunShape, matches: (z: number) => boolean) =>
    levels.filter((level) => observations.some((one) => one.level === level && matches(one.z)));
  if (rule === 'R-4s') {
    const groups = (run: RunShape) => {
      if (!(isAbove2(run.highest) && isBelow2(run.lowest))) return NONE;
      const beyond = levelsWith(run, (z) => isAbove2(z) || isBelow2(z));
      return beyond.length >= 2 ? [beyond] : NONE;
    };
    return [{ rule, code: rule, groups }];
  }
  if (rule === 'R-4s-range') {
    const groups = (run: RunShape) =>
      run.highest - run.lowest > 4 + TOLERANCE ? [levelsWith(run, (z) => z === run.lowest || z === run.highest)] : NONE;
    return [{ rule, code: rule, groups }];
  }
  if (rule === '2-2s' || (rule === '2of3-2s' && levels.length === 3)) {
    const groups = (run: RunShape) =>
      isAbove2(run.highest) || isBelow2(run.lowest)
        ? [levelsWith(run, isAbove2), levelsWith(run, isBelow2)].filter(({ length }) => length >= 2)
        : NONE;
    return [{ rule, code, groups }];
  }
  const streak = STREAKS[rule];
  // One level has nothing across; other counts ask for whole runs only where they come out even.
  if (!streak || streak.count === 1 || levels.length < 2 || streak.count % levels.length !== 0) return [];
  const runs: Streak = { ...streak, count: streak.count / levels.length };
  const all = [[...levels]];
  return [{ rule, code, groups: ({ whole }, wholeRuns) => (whole && wholeRuns.has(runs) ? all : NONE) }];
}

const NONE: string[][] = [];
const isAbove2 = (z: number) => z > 2 + TOLERANCE;
const isBelow2 = (z: number) => z < -2 - TOLERANCE;
