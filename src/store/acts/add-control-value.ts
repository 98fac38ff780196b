import { Refusal } from '../../core/refusal.js';
import type { Verdict } from '../../core/controls/multirule.js';
import { type Instant, epochMs } from '../../core/time/instant.js';
import { localDay } from '../../core/time/zone.js';
import { controlResult } from '../questions/control-results.js';
import { judgedBatch, seriesGroup } from '../questions/control-series.js';
import { needLaboratory } from '../questions/laboratories.js';
import { loadRun } from '../questions/runs.js';
import { ControlResultRow, ControlValueRow } from '../rows/control-results.entity.js';
import { FileRow } from '../rows/files.entity.js';
import type { Unit } from '../unit.js';
import { lookBackOn, trayLots } from './record-reading.js';

/** A value of a series, in the unit of the series. */
export interface NewControlValue {
  seriesId: string;
  value: number;
  /** As it was given, when in another unit. */
  given?: string;
  /** When it was measured; the act's own instant when left out. */
  at?: Instant;
  /** Shared by values measured together; the run or the act when left out. */
  batch?: string;
  /** The run whose control it is of. */
  runId?: string;
  /** The picture that it was measured in. */
  fileId?: string;
  /** Lot of each reagent by the reagent's code; those on the run's tray when left out. */
  lots?: Record<string, string>;
  reason?: string;
}

/** No reading of a bench is larger; what is came from a slip of the keys or a wrong unit. */
const LARGEST = 1e12;

/**
 * Adds a value to a series and judges it by the limits and rules of its level, once there are limits. One that breaks a
 * rule which rejects is a failing result of the control that the series judges, with its lookback; one that does not is a
 * passing result. Refuses what is no finite number, absurdly large, of the future, or of a run or file that is not there.
 */
export async function addControlValue(
  unit: Unit,
  { seriesId, value, given, at = unit.at, batch, runId, fileId, lots, reason }: NewControlValue,
): Promise<{ value: ControlValueRow; verdict: Verdict | null; fired: string[] }> {
  if (!Number.isFinite(value) || Math.abs(value) > LARGEST) {
    throw new Refusal('invalid', 'bad-result', `The value is ${value}; give a finite number within 1e12 of 0.`);
  }
  if (epochMs(at) > epochMs(unit.at)) {
    throw new Refusal('invalid', 'in-future', `${at} lies in the future; it is ${unit.at}.`);
  }
  const group = await seriesGroup(unit, seriesId);
  const loaded = runId === undefined ? null : await loadRun(unit, runId);
  if (fileId !== undefined) await unit.need(FileRow, { id: fileId }, `file ${fileId}`);
  const own = batch ?? runId ?? `${unit.seq}`;
  const usedLots = lots ?? (loaded ? await trayLots(unit, loaded) : null);
  const row = await unit.insert(ControlValueRow, {
    seriesId,
    value,
    given: given ?? null,
    at,
    batch: own,
    runId: runId ?? null,
    fileId: fileId ?? null,
    lots: usedLots,
    reason: reason ?? null,
    personId: unit.actor.personId,
  });
  const judged = await judgedBatch(unit, group, { at, batch: own });
  const series = group.series.find(({ id }) => id === seriesId);
  const fired = judged?.fired.filter(({ levels }) => series && levels.includes(series.level)) ?? [];
  const verdict = judged === null ? null : weightOf(fired, group.rules);
  if (verdict !== null && series?.protocolId && series.requirement && loaded?.run.purpose !== 'training') {
    const { zone } = await needLaboratory(unit);
    const result = await unit.insert(ControlResultRow, {
      runId: runId ?? null,
      protocolId: series.protocolId,
      revisionId: loaded?.revision.id ?? null,
      requirement: series.requirement,
      reading: 'first',
      at,
      stainedAt: loaded?.run.startedAt ?? at,
      day: localDay(at, zone),
      passed: verdict !== 'reject',
      observed: `${series.title}, ${series.level}: ${value} ${series.unit}${said(fired.map(({ rule }) => rule))}`,
      personId: unit.actor.personId,
      lots: usedLots ?? {},
      pictures: fileId === undefined ? null : [fileId],
      valueId: row.id,
    });
    await lookBackOn(unit, await controlResult(unit, result.id));
  }
  return { value: row, verdict, fired: fired.map(({ rule }) => rule) };
}

function said(rules: readonly string[]): string {
  return rules.length === 0 ? '' : `; broke ${rules.join(', ')}`;
}

/** What the rules that fired for this level make of its value; "2-2s-within" is a form of "2-2s". */
function weightOf(fired: readonly { rule: string }[], rules: Record<string, string | undefined>): Verdict {
  const weights = fired.map(({ rule }) => rules[rule.replace(/-(within|across)$/, '')]);
  if (weights.includes('reject')) return 'reject';
  return weights.includes('warn') ? 'warn' : 'accept';
}
