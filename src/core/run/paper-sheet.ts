import { Refusal } from '../refusal.js';
import { type Instant, plusMs } from '../time/instant.js';
import type { BenchStamp, RunEventData } from './events.js';

/** What one printing gives at most. */
export const MOST_SHEETS = 50;

/** What tells how far the times on a sheet are from true ones, in seconds. */
export interface PaperClock {
  /** How far the clock that was read went ahead of the server's; negative when it was behind. */
  aheadSec: number;
  /** Half width of the interval around each written time that covers the true one: 60 for a clock read to the minute. */
  uncertaintySec: number;
  /** The same for a duration that was stopped by hand. */
  stopwatchSec: number;
}

/** A step as a sheet has it: its start by the clock, and its end by the clock or its duration by a stopwatch. */
export interface PaperStep {
  step: string;
  startedAt: Instant;
  endedAt?: Instant;
  lastedSec?: number;
}

/** The stamp of a time by the clock on a sheet. Typed afterwards, it stands on no clock session. */
export function paperStamp(sheet: number, { aheadSec, uncertaintySec }: PaperClock, written: Instant): BenchStamp {
  return {
    device: `paper sheet ${sheet}`,
    at: plusMs(written, Math.round(-aheadSec * 1000)),
    uncertaintyMs: Math.round(uncertaintySec * 1000),
    monotonicMs: null,
    offsetMs: null,
    roundTripMs: null,
    late: true,
  };
}

/**
 * The stamps of a step on a sheet, `end` null for one that was left running. By the clock, both ends are as unsure as it is;
 * by a stopwatch, start and end stand on one steady clock, so that the duration is as sure as the hand that stopped it,
 * while the end's time of day has both uncertainties (worst case, JCGM 106:2012). With a clock 60 s sure and a stopwatch
 * 1 s sure, a step of 20 s lasted 20 s give or take 1 s.
 */
export function paperStamps(
  sheet: number,
  clock: PaperClock,
  { step, startedAt, endedAt, lastedSec }: PaperStep,
): { start: BenchStamp; end: BenchStamp | null } {
  const start = paperStamp(sheet, clock, startedAt);
  if (lastedSec === undefined) {
    return { start, end: endedAt === undefined ? null : paperStamp(sheet, clock, endedAt) };
  }
  const clockSession = `paper sheet ${sheet}, ${step}`;
  const lastedMs = Math.round(lastedSec * 1000);
  const readingUncertaintyMs = Math.round(clock.stopwatchSec * 1000);
  const end: BenchStamp = {
    ...start,
    at: plusMs(start.at, lastedMs),
    uncertaintyMs: (start.uncertaintyMs ?? 0) + readingUncertaintyMs,
    clockSession,
    monotonicMs: lastedMs,
    readingUncertaintyMs,
  };
  return { start: { ...start, clockSession, monotonicMs: 0 }, end };
}

/** What a sheet says, as it was typed. */
export interface PaperEntry {
  clock: PaperClock;
  tray: readonly { reagent: string; container: string; at: Instant }[];
  steps: readonly PaperStep[];
  words?: string;
}

type PaperKind = 'tray-scanned' | 'step-started' | 'step-ended' | 'noted';

/** An event that a sheet tells of. */
export type PaperEvent = { [K in PaperKind]: { kind: K; data: RunEventData[K]; stamp: BenchStamp } }[PaperKind];

/**
 * The events that a sheet tells of, in the order of their times; `now` stamps its words. Refuses a step that says both when
 * it ended and how long it lasted: two answers to one question.
 */
export function paperEvents(sheet: number, { clock, tray, steps, words }: PaperEntry, now: Instant): PaperEvent[] {
  const both = steps.findIndex(({ endedAt, lastedSec }) => endedAt !== undefined && lastedSec !== undefined);
  if (both >= 0) {
    const message = `give either when ${steps[both]?.step} ended or how long it lasted`;
    throw new Refusal('invalid', 'two-ends', `The sheet says both; ${message}.`, [{ at: `steps.${both}`, message }]);
  }
  const scanned = tray.map(({ reagent, container, at }): PaperEvent => ({
    kind: 'tray-scanned',
    data: { reagent, container },
    stamp: paperStamp(sheet, clock, at),
  }));
  const done = steps.flatMap((each): PaperEvent[] => {
    const { start, end } = paperStamps(sheet, clock, each);
    const data = { step: each.step };
    return [
      { kind: 'step-started', data, stamp: start },
      ...(end ? [{ kind: 'step-ended' as const, data, stamp: end }] : []),
    ];
  });
  // Of one instant what comes first on the sheet stays first.
  const inOrder = [...scanned, ...done].sort((a, b) =>
    a.stamp.at < b.stamp.at ? -1 : a.stamp.at > b.stamp.at ? 1 : 0,
  );
  if (words === undefined) return inOrder;
  return [
    ...inOrder,
    { kind: 'noted', data: { text: words }, stamp: paperStamp(sheet, { ...clock, aheadSec: 0 }, now) },
  ];
}
