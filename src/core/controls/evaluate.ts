import type { Instant } from '../time/instant.js';
import { RuleChart, type ControlRun, type Observation, type RunJudgement } from './multirule.js';
import type { RuleWeights } from './rules.js';

/** One value of a level. */
export interface Point {
  level: string;
  value: number;
  at: Instant;
  /** Values measured together share it and follow each other. */
  batch: string;
}

/** Limits of a level from an instant on, until later ones of the same level. */
export interface LevelLimits {
  level: string;
  since: Instant;
  mean: number;
  sd: number;
}

/** What the rules say of one batch; null while none of its levels has limits. */
export type BatchHeard<P extends Point> = (points: readonly P[], judged: RunJudgement | null) => void;

/**
 * Judges values, given in the order of time, by the limits that held when each was measured, one batch after the other,
 * and keeps no more than the rules look back at, however many values there are. New limits, and `resets` before a later value, make the
 * rules look no further back; a level without limits is left out. `end` judges the last batch.
 */
export class SeriesEvaluation<P extends Point> {
  readonly #chart: RuleChart;
  readonly #limits: { level: string; ahead: LevelLimits[]; now: LevelLimits | null }[];
  readonly #resets: Instant[];
  readonly #heard: BatchHeard<P>;
  #batch: P[] = [];
  #reset = false;

  constructor(
    levels: readonly string[],
    weights: RuleWeights,
    { limits, resets }: { limits: readonly LevelLimits[]; resets: readonly Instant[] },
    heard: BatchHeard<P>,
  ) {
    this.#chart = new RuleChart(levels, weights);
    this.#limits = levels.map((level) => ({ level, ahead: latestFirst(limits, level), now: null }));
    this.#resets = [...resets].sort().reverse();
    this.#heard = heard;
  }

  add(point: P): void {
    if (this.#batch.length > 0 && this.#batch[0]?.batch !== point.batch) this.end();
    this.#batch.push(point);
  }

  /** Judges what was not judged yet. */
  end(): void {
    const points = this.#batch;
    const [first] = points;
    if (!first) return;
    this.#batch = [];
    this.#moveTo(first.at);
    const observations: Observation[] = [];
    for (const { level, value } of points) {
      const limits = this.#limitsOf(level);
      if (limits) observations.push({ level, z: (value - limits.mean) / limits.sd });
    }
    if (observations.length === 0) return this.#heard(points, null);
    const run: ControlRun = { observations, afterReset: this.#reset };
    this.#reset = false;
    this.#heard(points, this.#chart.judge(run));
  }

  /** Takes the limits in force at an instant, and notes what came before it. */
  #moveTo(at: Instant): void {
    for (let next = this.#resets.at(-1); next !== undefined && next < at; next = this.#resets.at(-1)) {
      this.#resets.pop();
      this.#reset = true;
    }
    for (const level of this.#limits) {
      for (let next = level.ahead.at(-1); next !== undefined && next.since <= at; next = level.ahead.at(-1)) {
        level.now = next;
        level.ahead.pop();
        this.#reset = true;
      }
    }
  }

  #limitsOf(level: string): LevelLimits | null {
    for (const each of this.#limits) if (each.level === level) return each.now;
    return null;
  }
}

function latestFirst(limits: readonly LevelLimits[], level: string): LevelLimits[] {
  return limits.filter((each) => each.level === level).sort((a, b) => (a.since < b.since ? 1 : -1));
}
