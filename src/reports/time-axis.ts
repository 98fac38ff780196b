import { epochMs, type Instant } from '../core/time/instant.js';

/** A stretch of time that is drawn shorter than it was. */
export interface Cut {
  fromMs: number;
  toMs: number;
}

/** A common axis: where each instant stands, in points from its left end, and what of it was cut short. */
export interface TimeAxis {
  at(ms: number): number;
  startMs: number;
  /** The last instant that something happened. */
  endMs: number;
  /** The last instant that is drawn. */
  horizonMs: number;
  cuts: Cut[];
  /** Points for a millisecond wherever it is not cut. */
  scale: number;
}

/** A stretch that takes more than so many times the room of all others together is drawn as long as they are. */
const LONGEST = 3;

/**
 * An axis over some moments, `width` points wide, that goes on to `beyond` (limits that lie after the last moment) by no more
 * than a quarter. A stretch far longer than all others, such as a night in the stain, is cut short so that the rest stays
 * readable; within each stretch the axis is even.
 */
export function timeAxis(moments: readonly Instant[], beyond: readonly number[], width: number): TimeAxis {
  const marks = [...new Set(moments.map(epochMs))].sort((a, b) => a - b);
  const startMs = marks[0] ?? 0;
  const endMs = Math.max(marks.at(-1) ?? 0, startMs + 1);
  const stretches = marks.slice(1).map((toMs, n) => {
    const fromMs = marks[n] ?? startMs;
    return { fromMs, toMs, drawn: toMs - fromMs, cut: false };
  });
  for (const stretch of [...stretches].sort((a, b) => b.drawn - a.drawn).slice(0, 3)) {
    const others = stretches.reduce((sum, { drawn }) => sum + drawn, 0) - stretch.drawn;
    if (others === 0 || stretch.drawn <= LONGEST * others) continue;
    stretch.drawn = others;
    stretch.cut = true;
  }
  const drawn = Math.max(
    stretches.reduce((sum, each) => sum + each.drawn, 0),
    1,
  );
  const horizonMs = Math.min(Math.max(endMs, ...beyond), endMs + drawn / 4);
  const scale = width / (drawn + horizonMs - endMs);
  return {
    startMs,
    endMs,
    horizonMs,
    scale,
    cuts: stretches.filter(({ cut }) => cut).map(({ fromMs, toMs }) => ({ fromMs, toMs })),
    at: (ms) => {
      if (ms >= endMs) return (drawn + Math.min(ms, horizonMs) - endMs) * scale;
      let passed = 0;
      for (const { fromMs, toMs, drawn: own } of stretches) {
        if (ms < toMs) return (passed + (own * Math.max(ms - fromMs, 0)) / (toMs - fromMs)) * scale;
        passed += own;
      }
      return passed * scale;
    },
  };
}

const STEPS_MS = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10_800, 21_600, 43_200, 86_400].map(
  (seconds) => seconds * 1000,
);

/** Round times since the start for an axis, at least `apart` points from each other, in ms; none within a cut. */
export function ticksOf(axis: TimeAxis, apart: number): number[] {
  const span = axis.horizonMs - axis.startMs;
  const step = STEPS_MS.find((each) => each * axis.scale >= apart) ?? span;
  const ticks: number[] = [];
  let last = Number.NEGATIVE_INFINITY;
  for (let ms = 0; ms <= span; ms += step) {
    const at = axis.startMs + ms;
    const place = axis.at(at);
    const within = axis.cuts.some(({ fromMs, toMs }) => at > fromMs && at < toMs);
    if (within || place - last < apart) continue;
    ticks.push(ms);
    last = place;
  }
  return ticks;
}
