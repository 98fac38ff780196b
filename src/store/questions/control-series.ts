import { In } from 'typeorm';
import { type LevelLimits, type Point, SeriesEvaluation, type BatchHeard } from '../../core/controls/evaluate.js';
import type { RuleWeights } from '../../core/controls/rules.js';
import { type LimitsPoints, RESETTING } from '../../core/controls/series.js';
import { Refusal } from '../../core/refusal.js';
import { type Instant, plusMs } from '../../core/time/instant.js';
import {
  ControlValueRow,
  LimitsRow,
  SeriesMarkRow,
  SeriesRow,
  SeriesRulesRow,
} from '../rows/control-results.entity.js';
import type { View } from '../view.js';

/** More of one level than any rule looks back at: twelve in a row, several of one level in a batch. */
const LEAD_IN = 64;
/** Rows read at a time. */
const PAGE = 20_000;

/** The series of one control, one for each level, with all that its values are judged by. */
export interface SeriesGroup {
  series: SeriesRow[];
  rules: RuleWeights;
  limits: LimitsRow[];
  marks: SeriesMarkRow[];
}

/** A value as it is charted. */
export interface SeriesValue extends Point {
  id: string;
  seriesId: string;
}

/** The series that share a code with this one, and what they are judged by. */
export async function seriesGroup(view: View, seriesId: string): Promise<SeriesGroup> {
  const own = await view.need(SeriesRow, { id: seriesId }, `series ${seriesId}`);
  const series = await view.all(SeriesRow, { code: own.code }, { order: { id: 'ASC' } });
  const ids = { seriesId: In(series.map(({ id }) => id)) };
  const changed = await view.all(SeriesRulesRow, ids, { order: { seq: 'DESC' }, take: 1 });
  return {
    series,
    rules: changed[0]?.rules ?? own.rules,
    limits: await view.all(LimitsRow, ids, { order: { seq: 'ASC' } }),
    marks: await view.all(SeriesMarkRow, ids, { order: { at: 'ASC' } }),
  };
}

/** An evaluation of a group's values, to be fed in the order of time. */
export function evaluationOf(
  { series, rules, limits, marks }: SeriesGroup,
  heard: BatchHeard<SeriesValue>,
): SeriesEvaluation<SeriesValue> {
  const levelOf = new Map(series.map(({ id, level }) => [id, level]));
  return new SeriesEvaluation(
    series.map(({ level }) => level),
    rules,
    {
      limits: standing(limits).map(({ seriesId, since, mean, sd }): LevelLimits => ({
        level: levelOf.get(seriesId) ?? '',
        since,
        mean,
        sd,
      })),
      resets: marks.filter(({ kind }) => RESETTING.includes(kind)).map(({ at }) => at),
    },
    heard,
  );
}

/** Of limits that hold from the same instant the last decision counts. */
function standing(limits: readonly LimitsRow[]): LimitsRow[] {
  return [...new Map(limits.map((each) => [`${each.seriesId} ${each.since}`, each])).values()];
}

/**
 * Judges every value of a group in the order of time. Rows are read by pages and dropped when they were judged, so that a
 * million of them need no more room than one page of each level.
 */
export async function evaluateAll(view: View, group: SeriesGroup, heard: BatchHeard<SeriesValue>): Promise<void> {
  const evaluation = evaluationOf(group, heard);
  const levels = group.series.map((series) => new Pages(view, series));
  for (;;) {
    for (const level of levels) if (level.empty) await level.read();
    let next: Pages | null = null;
    for (const level of levels) if (!level.done && (next === null || level.before(next))) next = level;
    if (next === null) break;
    evaluation.add(next.take());
  }
  evaluation.end();
}

/** Values of a group measured from `from` until before `to`, the newest `take`, in the order of time; judged by `heard`. */
export async function evaluateWindow(
  view: View,
  group: SeriesGroup,
  { from, to, take }: { from: Instant; to: Instant; take: number },
  heard: BatchHeard<SeriesValue>,
): Promise<void> {
  const values: SeriesValue[] = [];
  for (const series of group.series) {
    const within = await newest(view, series, { from, to, take });
    const lead = await newest(view, series, { from: '', to: within[0]?.at ?? from, take: LEAD_IN });
    values.push(...lead, ...within);
  }
  const evaluation = evaluationOf(group, (points, judged) => {
    if (points.some(({ at }) => at >= from)) heard(points, judged);
  });
  for (const value of values.sort(byTime)) evaluation.add(value);
  evaluation.end();
}

/** The batch of a value with what the rules say of it, from no more values before it than they look at. */
export async function judgedBatch(
  view: View,
  group: SeriesGroup,
  { at, batch }: Pick<SeriesValue, 'at' | 'batch'>,
): Promise<Parameters<BatchHeard<SeriesValue>>[1]> {
  let found: Parameters<BatchHeard<SeriesValue>>[1] = null;
  await evaluateWindow(view, group, { from: at, to: plusMs(at, 1), take: LEAD_IN }, (points, judged) => {
    if (points[0]?.batch === batch) found = judged;
  });
  return found;
}

async function newest(
  view: View,
  series: SeriesRow,
  { from, to, take }: { from: Instant; to: Instant; take: number },
): Promise<SeriesValue[]> {
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT id, value, at, batch FROM control_value WHERE series_id = $1 AND at >= $2 AND at < $3
      ORDER BY at DESC, id DESC LIMIT ${take}`,
    [series.id, from, to],
  )) as Omit<SeriesValue, 'level' | 'seriesId'>[];
  return rows.reverse().map((row) => ({ ...row, level: series.level, seriesId: series.id }));
}

function byTime(a: SeriesValue, b: SeriesValue): number {
  if (a.at !== b.at) return a.at < b.at ? -1 : 1;
  return a.id < b.id ? -1 : 1;
}

/** One level's values in the order of time, a page at a time. */
class Pages {
  #rows: SeriesValue[] = [];
  #next = 0;
  #over = false;
  #last = { at: '', id: '' };

  constructor(
    private readonly view: View,
    private readonly series: SeriesRow,
  ) {}

  get empty(): boolean {
    return this.#next >= this.#rows.length && !this.#over;
  }

  get done(): boolean {
    return this.#next >= this.#rows.length;
  }

  async read(): Promise<void> {
    this.#rows = (await (
      await this.view.ready()
    ).query(
      `SELECT id, value, at, batch FROM control_value
        WHERE series_id = $1 AND (at, id) > ($2, $3) ORDER BY at, id LIMIT ${PAGE}`,
      [this.series.id, this.#last.at, this.#last.id],
    )) as SeriesValue[];
    this.#next = 0;
    this.#over = this.#rows.length < PAGE;
    const last = this.#rows.at(-1);
    if (last) this.#last = { at: last.at, id: last.id };
    for (const row of this.#rows) {
      row.level = this.series.level;
      row.seriesId = this.series.id;
    }
  }

  before(other: Pages): boolean {
    const [own, its] = [this.#rows[this.#next], other.#rows[other.#next]];
    return own !== undefined && its !== undefined && byTime(own, its) < 0;
  }

  take(): SeriesValue {
    const row = this.#rows[this.#next++];
    if (!row) throw new Error('a page was read past its end');
    return row;
  }
}

/** The most values that limits are computed from. */
const MOST_FOR_LIMITS = 200_000;

/** The values that limits are computed from; refuses more than there is room for. */
export async function limitsValues(
  view: View,
  { seriesId, from, to, upToSeq, excluded }: LimitsPoints,
): Promise<{ id: string; x: number; at: Instant }[]> {
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT id, value AS x, at FROM control_value WHERE series_id = $1 AND at >= $2 AND at <= $3 AND seq <= $4
      ORDER BY at, id LIMIT ${MOST_FOR_LIMITS + 1}`,
    [seriesId, from, to, upToSeq],
  )) as { id: string; x: number; at: Instant }[];
  if (rows.length > MOST_FOR_LIMITS) {
    const message = `Limits stand on at most ${MOST_FOR_LIMITS} values; take a shorter period.`;
    throw new Refusal('invalid', 'too-many', message, [{ at: 'from', message }]);
  }
  return rows.filter(({ id }) => !excluded.includes(id));
}

/** Values with the lots they were measured with, by id. */
export async function valueLots(view: View, ids: readonly string[]): Promise<Map<string, Record<string, string>>> {
  const rows = await view.all(ControlValueRow, { id: In([...ids]) });
  return new Map(rows.flatMap(({ id, lots }) => (lots === null ? [] : [[id, lots]])));
}

/** Every series, by code and level as they were set up. */
export function allSeries(view: View): Promise<SeriesRow[]> {
  return view.all(SeriesRow, {}, { order: { code: 'ASC', id: 'ASC' } });
}
