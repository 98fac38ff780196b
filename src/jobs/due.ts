import { CONTROLS_READ_WITHIN_MS } from '../core/controls/schedule.js';
import type { Step } from '../core/protocol/protocol.js';
import { stepWindow } from '../core/protocol/windows.js';
import { epochMs, type Instant, instantOf, plusMs } from '../core/time/instant.js';
import { instantOfLocal, localDay } from '../core/time/zone.js';
import type { Growth } from '../store/checkpoints/checkpoints.js';

/** A quiet hour on the wall clock, outside the hours that daylight saving skips or repeats nearly everywhere. */
const RECORD_CHECK_AT = '04:15';

const HOUR_MS = 3_600_000;
const QUARTER_MS = HOUR_MS / 4;
/** Not at the same minute as the look at the checkpoints. */
const ALERTS_AFTER_MS = 7 * 60_000;
const CHECKPOINT_HOURS = 24;
const CHECKPOINT_ENTRIES = 10_000;

/** When a step that started at `startedAt` passes its longest time; null when it has none. */
export function stepOverAt(startedAt: Instant, step: Step): Instant | null {
  const { maxMs } = stepWindow(step);
  return maxMs === null ? null : plusMs(startedAt, maxMs);
}

export function controlUnreadAt(runStartedAt: Instant): Instant {
  return plusMs(runStartedAt, CONTROLS_READ_WITHIN_MS);
}

/** The next check of a laboratory's record after `now`; one id a local day, so that it is queued once. */
export function nextRecordCheck(laboratoryId: string, zone: string, now: Instant): { id: string; dueAt: Instant } {
  const today = localDay(now, zone);
  const tomorrow = instantOf(epochMs(`${today}T00:00:00.000Z`) + 86_400_000).slice(0, 10);
  return {
    id: `record-check:${laboratoryId}:${tomorrow}`,
    dueAt: instantOfLocal(`${tomorrow}T${RECORD_CHECK_AT}`, zone),
  };
}

/** The next look at whether a laboratory's record needs a checkpoint, at the full hour; one id an hour. */
export function nextCheckpointLook(laboratoryId: string, _zone: string, now: Instant): { id: string; dueAt: Instant } {
  const dueAt = instantOf((Math.floor(epochMs(now) / HOUR_MS) + 1) * HOUR_MS);
  return { id: `checkpoint:${laboratoryId}:${dueAt.slice(0, 13)}`, dueAt };
}

/** The next look at what somebody should know, a while after the full hour; one id an hour. */
export function nextAlertsLook(laboratoryId: string, _zone: string, now: Instant): { id: string; dueAt: Instant } {
  const hour = Math.floor((epochMs(now) - ALERTS_AFTER_MS) / HOUR_MS) + 1;
  const dueAt = instantOf(hour * HOUR_MS + ALERTS_AFTER_MS);
  return { id: `alerts:${laboratoryId}:${dueAt.slice(0, 13)}`, dueAt };
}

/** The next look at which controls are due, at the full quarter of an hour; one id each. */
export function nextControlsLook(laboratoryId: string, _zone: string, now: Instant): { id: string; dueAt: Instant } {
  const dueAt = instantOf((Math.floor(epochMs(now) / QUARTER_MS) + 1) * QUARTER_MS);
  return { id: `control-tasks:${laboratoryId}:${dueAt.slice(0, 16)}`, dueAt };
}

/** Whether a record that grew is to be signed: after a day, by the nearest hour, or when much was added since. */
export function checkpointWanted({ entries, since, now }: Growth): boolean {
  if (since === null || entries > CHECKPOINT_ENTRIES) return true;
  return Math.round((epochMs(now) - epochMs(since)) / HOUR_MS) >= CHECKPOINT_HOURS;
}
