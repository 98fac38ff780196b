import {
  type ControlReading,
  type ControlResult,
  type CriterionReading,
  resultsOf,
} from '../../core/controls/result.js';
import type { Instant } from '../../core/time/instant.js';
import type { View } from '../view.js';
import { ALL_KNOWN } from './containers.js';

/** Which results are asked for; what is left out does not narrow. */
export interface ResultChoice {
  protocolId?: string;
  revisionId?: string;
  requirement?: string;
  runId?: string;
  /** Stained at or after this instant. */
  from?: Instant;
  /** Stained before this instant. */
  to?: Instant;
  /** Facts recorded after this number are not looked at. */
  upToSeq?: number;
}

type Stored = Omit<ControlReading, 'passed' | 'lots' | 'criteria' | 'pictures'> & {
  passed: boolean | number;
  lots: string;
  criteria: string | null;
  pictures: string | null;
};

/**
 * The results of controls in the order of the record, corrections applied and withdrawn readings left out. Both readings of
 * one control share its run's start, so that no choice of time parts them.
 */
export async function controlResults(view: View, choice: ResultChoice): Promise<ControlResult[]> {
  return resultsOf(await controlReadingsOf(view, choice));
}

/** One result by its own id or that of any of its readings; null when there is none or it was withdrawn. */
export async function controlResult(view: View, id: string, upToSeq?: number): Promise<ControlResult | null> {
  const [own] = await readings(view, ['r.id = $3'], [id], upToSeq);
  if (!own) return null;
  if (own.runId === null) return resultsOf([own])[0] ?? null;
  const all = await readings(view, ['r.run_id = $3'], [own.runId], upToSeq);
  return resultsOf(all).find((result) => result.readings.some((each) => each.id === id)) ?? null;
}

/** The readings that results are made of, as they stand after corrections. */
export function controlReadingsOf(view: View, choice: ResultChoice): Promise<ControlReading[]> {
  const asked: [string, string | undefined][] = [
    ['r.protocol_id =', choice.protocolId],
    ['r.revision_id =', choice.revisionId],
    ['r.requirement =', choice.requirement],
    ['r.run_id =', choice.runId],
    ['r.stained_at >=', choice.from],
    ['r.stained_at <', choice.to],
  ];
  const given = asked.filter((each): each is [string, string] => each[1] !== undefined);
  return readings(
    view,
    given.map(([condition], n) => `${condition} $${n + 3}`),
    given.map(([, value]) => value),
    choice.upToSeq,
  );
}

async function readings(
  view: View,
  conditions: readonly string[],
  values: readonly string[],
  upToSeq: number = ALL_KNOWN,
): Promise<ControlReading[]> {
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT r.id AS "id", r.seq AS "seq", r.run_id AS "runId", r.protocol_id AS "protocolId", r.revision_id AS "revisionId",
            r.requirement AS "requirement", r.subject_id AS "subjectId", r.reading AS "reading",
            COALESCE(c.at, r.at) AS "at", r.stained_at AS "stainedAt", COALESCE(c.day, r.day) AS "day", r.passed AS "passed",
            r.observed AS "observed", r.person_id AS "personId", r.lots AS "lots", r.criteria AS "criteria",
            r.pictures AS "pictures", r.value_id AS "valueId"
       FROM control_result r
       LEFT JOIN control_result_change c ON c.result_id = r.id AND c.seq =
            (SELECT MAX(seq) FROM control_result_change WHERE result_id = r.id AND seq <= $1)
      WHERE r.seq <= $1 AND r.laboratory_id = $2 AND (c.id IS NULL OR c.withdrawn = FALSE)
            ${conditions.map((each) => `AND ${each}`).join(' ')}
      ORDER BY r.seq, r.id`,
    [upToSeq, view.laboratoryId, ...values],
  )) as Stored[];
  return rows.map(({ passed, lots, criteria, pictures, ...rest }) => ({
    ...rest,
    passed: Boolean(passed),
    lots: JSON.parse(lots) as Record<string, string>,
    criteria: criteria === null ? null : (JSON.parse(criteria) as CriterionReading[]),
    pictures: pictures === null ? null : (JSON.parse(pictures) as string[]),
  }));
}
