import type { Instant } from '../time/instant.js';
import { cusum, ewma } from './charts.js';
import type { Verdict } from './multirule.js';

/** One value of a level as it is charted. */
export interface ChartPoint {
  at: Instant;
  value: number;
  /** Standard deviations from the mean that held then; null without limits. */
  z: number | null;
  verdict: Verdict | null;
  /** Rules that fired for it. */
  fired: string[];
  /** True when the rules look no further back than this value: new limits, a new lot, a corrective action. */
  fresh: boolean;
}

/** What happened between values. */
export interface ChartMark {
  at: Instant;
  text: string;
}

/** Limits from an instant on. */
export interface ChartLimits {
  since: Instant;
  mean: number;
  sd: number;
}

/** What is drawn; `role` says what it is, so that each place of drawing gives it its own look. */
export type Shape =
  | {
      kind: 'line';
      role: 'mean' | 'limit' | 'warning' | 'mark' | 'axis';
      x1: number;
      y1: number;
      x2: number;
      y2: number;
    }
  | { kind: 'path'; role: 'values' | 'average' | 'above' | 'below'; points: [number, number][] }
  | { kind: 'point'; role: 'accept' | 'warn' | 'reject' | 'unjudged'; x: number; y: number; says: string }
  | {
      kind: 'text';
      role: 'hit' | 'mark' | 'scale';
      x: number;
      y: number;
      text: string;
      anchor: 'start' | 'middle' | 'end';
    };

/** A drawing in its own units, from the left top. */
export interface Drawing {
  width: number;
  height: number;
  shapes: Shape[];
}

/** As wide as a report's page is drawn. */
const REPORT = 720;
const [LEFT, RIGHT, TOP, BOTTOM] = [56, 44, 26, 44];
/** Settings of the charts beside: small lasting shifts (see core/controls/charts). */
export const EWMA_SETTING = { lambda: 0.2, L: 3 };
export const CUSUM_SETTING = { k: 0.5, h: 4 };

/**
 * The control chart of one level: values in the order of time with the limits that held, rule hits by shape and words, and
 * what happened between values as lines across. Values farther than `4.5` SD stand at the edge, named by their words.
 */
export function levelChart(
  points: readonly ChartPoint[],
  limits: readonly ChartLimits[],
  marks: readonly ChartMark[],
  width: number = REPORT,
): Drawing {
  const height = 280;
  const x = placesOf(points.length, width);
  const held = points.map(({ at }) => limitsAt(limits, at));
  const [low, high] = rangeOf(points, held);
  const y = (value: number): number =>
    round(TOP + ((high - Math.min(Math.max(value, low), high)) / (high - low)) * (height - TOP - BOTTOM));
  return {
    width,
    height,
    shapes: [
      ...limitLines(held, x, y, width),
      ...markLines(points, marks, x, { width, height }),
      { kind: 'path', role: 'values', points: points.map(({ value }, n) => [x(n), y(value)]) },
      ...points.flatMap((point, n): Shape[] => pointShapes(point, x(n), y(point.value), width)),
      ...days(points, x, { width, height }),
    ],
  };
}

/** The exponentially weighted moving average of a level's z values beside its chart, begun anew where the rules are. */
export function averageChart(points: readonly ChartPoint[], width: number = REPORT): Drawing {
  const height = 130;
  const x = placesOf(points.length, width);
  const scale = scaled(height, 2.5);
  const limit = EWMA_SETTING.L * Math.sqrt(EWMA_SETTING.lambda / (2 - EWMA_SETTING.lambda));
  const shapes: Shape[] = ruled(scale, width, [limit, 0, -limit]);
  for (const run of runsOf(points)) {
    const { z, beyond } = ewma(run.z, { mean: 0, sd: 1 }, EWMA_SETTING);
    const places = z.map((each, n): [number, number] => [x(run.from + n), scale(each)]);
    shapes.push({ kind: 'path', role: 'average', points: places }, ...alarms(beyond, places, 'EWMA'));
  }
  return { width, height, shapes };
}

/** The two cumulative sums of a level's z values beside its chart, begun anew where the rules are. */
export function sumChart(points: readonly ChartPoint[], width: number = REPORT): Drawing {
  const height = 130;
  const x = placesOf(points.length, width);
  const scale = scaled(height, CUSUM_SETTING.h * 1.6);
  const shapes: Shape[] = ruled(scale, width, [CUSUM_SETTING.h, 0, -CUSUM_SETTING.h]);
  for (const run of runsOf(points)) {
    const { above, below, beyond } = cusum(run.z, { mean: 0, sd: 1 }, CUSUM_SETTING);
    const up = above.map((each, n): [number, number] => [x(run.from + n), scale(each)]);
    const down = below.map((each, n): [number, number] => [x(run.from + n), scale(-each)]);
    const worst = up.map((place, n) => ((above[n] ?? 0) >= (below[n] ?? 0) ? place : (down[n] ?? place)));
    shapes.push(
      { kind: 'path', role: 'above', points: up },
      { kind: 'path', role: 'below', points: down },
      ...alarms(beyond, worst, 'CUSUM'),
    );
  }
  return { width, height, shapes };
}

/** Stretches of values with limits that the charts beside run over without beginning anew. */
function runsOf(points: readonly ChartPoint[]): { from: number; z: number[] }[] {
  const runs: { from: number; z: number[] }[] = [];
  points.forEach(({ z, fresh }, n) => {
    const last = runs.at(-1);
    if (z === null) return;
    if (last && !fresh && last.from + last.z.length === n) last.z.push(z);
    else runs.push({ from: n, z: [z] });
  });
  return runs;
}

/** The first alarm of each unbroken row of alarms, by shape and word. */
function alarms(beyond: readonly number[], places: readonly [number, number][], word: string): Shape[] {
  return beyond.flatMap((position, n): Shape[] => {
    const place = places[position - 1];
    if (!place) return [];
    const [x, y] = place;
    const point: Shape = { kind: 'point', role: 'warn', x, y, says: `${word} beyond its limit` };
    return beyond[n - 1] === position - 1
      ? [point]
      : [point, { kind: 'text', role: 'hit', x, y: y - 9, text: word, anchor: 'middle' }];
  });
}

function pointShapes({ at, value, z, verdict, fired }: ChartPoint, x: number, y: number, width: number): Shape[] {
  const role = verdict ?? 'unjudged';
  const beyond = z === null ? '' : `, ${z.toFixed(2)} SD`;
  const rules = fired.length > 0 ? `, ${fired.join(', ')}` : '';
  const shape: Shape = { kind: 'point', role, x, y, says: `${at}: ${figure(value)}${beyond}${rules}` };
  if (role !== 'reject' && role !== 'warn') return [shape];
  return [
    shape,
    { kind: 'text', role: 'hit', x, y: Math.max(y - 10, 12), text: fired.join(', '), anchor: anchorAt(x, width) },
  ];
}

/** Lines of each stretch over which the same limits held, with their words at the right. */
function limitLines(
  held: readonly (ChartLimits | null)[],
  x: (n: number) => number,
  y: (value: number) => number,
  width: number,
): Shape[] {
  const shapes: Shape[] = [];
  held.forEach((limits, n) => {
    if (!limits || held[n - 1] === limits) return;
    const end = held.findIndex((each, k) => k > n && each !== limits);
    const last = end === -1 ? held.length - 1 : end - 1;
    for (const k of [3, 2, 0, -2, -3]) {
      const at = y(limits.mean + k * limits.sd);
      const role = k === 0 ? 'mean' : Math.abs(k) === 3 ? 'limit' : 'warning';
      shapes.push({ kind: 'line', role, x1: round(x(n) - 5), y1: at, x2: round(x(last) + 5), y2: at });
      if (last !== held.length - 1) continue;
      const word = k === 0 ? 'mean' : `${k > 0 ? '+' : '−'}${Math.abs(k)} SD`;
      shapes.push({ kind: 'text', role: 'scale', x: width - RIGHT + 6, y: at + 4, text: word, anchor: 'start' });
      const value = figure(limits.mean + k * limits.sd);
      shapes.push({ kind: 'text', role: 'scale', x: LEFT - 10, y: at + 4, text: value, anchor: 'end' });
    }
  });
  return shapes;
}

/** A line before the first value after each mark, with its words; marks at one place share it. */
function markLines(
  points: readonly ChartPoint[],
  marks: readonly ChartMark[],
  x: (n: number) => number,
  { width, height }: { width: number; height: number },
): Shape[] {
  const step = points.length > 1 ? x(1) - x(0) : 0;
  const byPlace = new Map<number, string[]>();
  for (const { at, text } of marks) {
    const n = points.findIndex((point) => point.at >= at);
    const place = round(n === -1 ? x(points.length - 1) + Math.min(step / 2, 8) : x(n) - step / 2);
    byPlace.set(place, [...new Set([...(byPlace.get(place) ?? []), text])]);
  }
  return [...byPlace].flatMap(([place, texts]): Shape[] => [
    { kind: 'line', role: 'mark', x1: place, y1: TOP - 8, x2: place, y2: height - BOTTOM + 4 },
    {
      kind: 'text',
      role: 'mark',
      x: place,
      y: height - BOTTOM + 16,
      text: texts.join(' · '),
      anchor: anchorAt(place, width),
    },
  ]);
}

function days(
  points: readonly ChartPoint[],
  x: (n: number) => number,
  { width, height }: { width: number; height: number },
): Shape[] {
  const [first, last] = [points[0], points.at(-1)];
  if (!first || !last) return [];
  const text = (at: Instant, n: number, anchor: 'start' | 'end'): Shape => ({
    kind: 'text',
    role: 'scale',
    x: x(n),
    y: height - 8,
    text: at.slice(0, 10),
    anchor,
  });
  const axis: Shape = {
    kind: 'line',
    role: 'axis',
    x1: LEFT,
    y1: height - BOTTOM,
    x2: width - RIGHT,
    y2: height - BOTTOM,
  };
  return [axis, text(first.at, 0, 'start'), ...(points.length > 1 ? [text(last.at, points.length - 1, 'end')] : [])];
}

function ruled(scale: (z: number) => number, width: number, at: readonly number[]): Shape[] {
  return at.flatMap((z): Shape[] => [
    { kind: 'line', role: z === 0 ? 'mean' : 'limit', x1: LEFT, y1: scale(z), x2: width - RIGHT, y2: scale(z) },
    { kind: 'text', role: 'scale', x: LEFT - 10, y: scale(z) + 4, text: figure(z), anchor: 'end' },
  ]);
}

function scaled(height: number, most: number): (z: number) => number {
  return (z) => round(12 + ((most - Math.min(Math.max(z, -most), most)) / (2 * most)) * (height - 24));
}

function placesOf(count: number, width: number): (n: number) => number {
  const room = width - LEFT - RIGHT - 20;
  return (n) => round(LEFT + 10 + (count > 1 ? (n / (count - 1)) * room : room / 2));
}

/** From the lowest to the highest that is drawn: 4.5 SD around each mean, or what the values span without limits. */
function rangeOf(points: readonly ChartPoint[], held: readonly (ChartLimits | null)[]): [number, number] {
  const edges = held.flatMap((limits) =>
    limits ? [limits.mean - 4.5 * limits.sd, limits.mean + 4.5 * limits.sd] : [],
  );
  const free = points.flatMap(({ value }, n) => (held[n] ? [] : [value]));
  const all = [...edges, ...free];
  const [low, high] = [Math.min(...all), Math.max(...all)];
  if (high > low) return [low, high];
  return Number.isFinite(low) ? [low - 1, low + 1] : [0, 1];
}

/** The limits that hold at an instant, the last ones begun. */
export function limitsAt(limits: readonly ChartLimits[], at: Instant): ChartLimits | null {
  return limits.reduce<ChartLimits | null>(
    (best, each) => (each.since <= at && (!best || each.since >= best.since) ? each : best),
    null,
  );
}

/** Words near an edge stand away from it. */
function anchorAt(x: number, width: number): 'start' | 'middle' | 'end' {
  if (x > width - RIGHT - 70) return 'end';
  return x < LEFT + 50 ? 'start' : 'middle';
}

function figure(value: number): string {
  return String(Number(value.toPrecision(4)));
}

function round(value: number): number {
  return Math.round(value * 100) / 100;
}
