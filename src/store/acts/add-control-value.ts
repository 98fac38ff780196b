import { Refusal } from '../../core/refusal.js';
import type { Verdict } from '../../core/controls/multirule.js';
import { type Instant, epochMs } from '../../core/time/instant.js';
import { localDay } from '../../core/time/zone.js';
import { controlResult } from '../questions/control-results.js';
import { judgedBatch, seriesGroup } from '../questions/control-series.js';
import { needLaboratory } from '../questions/laboratories.js';
import { type LoadedRun, loadRun } from '../questions/runs.js';
import { ControlResultRow, ControlValueRow, type SeriesRow } from '../rows/control-results.entity.js';
import { FileRow } from '../rows/files.entity.js';
import type { Unit } from '../unit.js';
import { lookBackOn, trayLots } from './record-reading.js';

/** A value of a series, in the unit of the series. */
export interface MeasuredValue {
  seriesId: string;
  value: number;
  /** As it was given, when in another unit. */
  given?: string;
}

/** When and how values were measured. */
export interface Measuring {
  /** When they were measured; the act's own instant when left out. */
  at?: Instant;
  /** Shared by values of one batch; the run or the act when left out. */
  batch?: string;
  /** The run whose control they are of. */
  runId?: string;
  /** The picture that they were measured in. */
  fileId?: string;
  /** Lot of each reagent by the reagent's code; those on the run's tray when left out. */
  lots?: Record<string, string>;
  reason?: string;
}

/** A value that was added with what the rules say of it; null while its level has no limits. */
export interface AddedValue {
  value: ControlValueRow;
  verdict: Verdict | null;
  /** Rules that fired for it, such as '1-3s' or '2-2s-within'. */
  fired: string[];
}

/** No reading of a bench is larger; what is came from a slip of the keys or a wrong unit. */
const LARGEST = 1e12;

/** Adds one value to a series; see `addControlValues`. */
export async function addControlValue(unit: Unit, value: MeasuredValue & Measuring): Promise<AddedValue> {
  const [added] = await addControlValues(unit, [value], value);
  if (!added) throw new Error('one value was given, and none was added');
  return added;
}

/**
 * Adds values that were measured together to the levels of one series and judges them by the limits and rules of each
 * level, once there are limits. One that breaks a rule which rejects is a failing result of the control that the series
 * judges, with its lookback; one that does not is a passing result. Refuses what is no finite number, absurdly large, of
 * the future, or of a run or file that is not there.
 */
export async function addControlValues(
  unit: Unit,
  values: readonly MeasuredValue[],
  { at = unit.at, runId, batch = runId ?? `${unit.seq}`, fileId, lots, reason }: Measuring,
): Promise<AddedValue[]> {
  if (epochMs(at) > epochMs(unit.at)) {
    throw new Refusal('invalid', 'in-future', `${at} lies in the future; it is ${unit.at}.`);
  }
  const loaded = runId === undefined ? null : await loadRun(unit, runId);
  if (fileId !== undefined) await unit.need(FileRow, { id: fileId }, `file ${fileId}`);
  const usedLots = lots ?? (loaded ? await trayLots(unit, loaded) : null);
  const rows: ControlValueRow[] = [];
  for (const { seriesId, value, given } of values) {
    if (!Number.isFinite(value) || Math.abs(value) > LARGEST) {
      throw new Refusal('invalid', 'bad-result', `The value is ${value}; give a finite number within 1e12 of 0.`);
    }
    rows.push(
      await unit.insert(ControlValueRow, {
        seriesId,
        value,
        given: given ?? null,
        at,
        batch,
        runId: runId ?? null,
        fileId: fileId ?? null,
        lots: usedLots,
        reason: reason ?? null,
        personId: unit.actor.personId,
      }),
    );
  }
  const [first] = rows;
  if (!first) return [];
  const group = await seriesGroup(unit, first.seriesId);
  const judged = await judgedBatch(unit, group, { at, batch });
  const added: AddedValue[] = [];
  for (const value of rows) {
    const series = group.series.find(({ id }) => id === value.seriesId);
    if (!series)
      throw new Refusal('invalid', 'other-series', 'Values measured together are of the levels of one series.');
    const fired = judged?.fired.filter(({ levels }) => levels.includes(series.level)).map(({ rule }) => rule) ?? [];
    const limited = group.limits.some(({ seriesId, since }) => seriesId === series.id && since <= at);
    const verdict = judged === null || !limited ? null : weightOf(fired, group.rules);
    if (verdict !== null && loaded?.run.purpose !== 'training')
      await addResult(unit, { value, series, verdict, fired }, loaded);
    added.push({ value, verdict, fired });
  }
  return added;
}

/** What a judged value says of the control that its series judges. */
async function addResult(
  unit: Unit,
  { value, series, verdict, fired }: { value: ControlValueRow; series: SeriesRow; verdict: Verdict; fired: string[] },
  loaded: LoadedRun | null,
): Promise<void> {
  if (series.protocolId === null || series.requirement === null) return;
  const { zone } = await needLaboratory(unit);
  const { at, fileId, lots } = value;
  const result = await unit.insert(ControlResultRow, {
    runId: loaded?.run.id ?? null,
    protocolId: series.protocolId,
    revisionId: loaded?.revision.id ?? null,
    requirement: series.requirement,
    reading: 'first',
    at,
    stainedAt: loaded?.run.startedAt ?? at,
    day: localDay(at, zone),
    passed: verdict !== 'reject',
    observed: `${series.title}, ${series.level}: ${value.value} ${series.unit}${said(fired)}`,
    personId: unit.actor.personId,
    lots: lots ?? {},
    pictures: fileId === null ? null : [fileId],
    valueId: value.id,
  });
  await lookBackOn(unit, await controlResult(unit, result.id));
}

function said(rules: readonly string[]): string {
  return rules.length === 0 ? '' : `; broke ${rules.join(', ')}`;
}

/** What the rules that fired for this level make of its value; "2-2s-within" is a form of "2-2s". */
function weightOf(fired: readonly string[], rules: Record<string, string | undefined>): Verdict {
  const weights = fired.map((rule) => rules[rule.replace(/-(within|across)$/, '')]);
  if (weights.includes('reject')) return 'reject';
  return weights.includes('warn') ? 'warn' : 'accept';
}
