import { kindOf, keptUntil, termPassed, yearsKept } from '../../core/keeping/keeping.js';
import { KEPT_CODES, type KeptCode } from '../../core/keeping/kinds.js';
import type { Instant } from '../../core/time/instant.js';
import { KeepingTermRow, LegalHoldEndRow, LegalHoldRow } from '../rows/keeping.entity.js';
import { RecordRow } from '../rows/record.entity.js';
import type { View } from '../view.js';

/** The tables of each kind; when a row of one was made, the entry of the record that wrote it says. */
const TABLES: Record<KeptCode, readonly string[]> = {
  bench: ['run', 'run_subject', 'run_event'],
  results: ['release', 'release_withdrawal', 'release_hold'],
  protocols: ['revision', 'revision_act'],
  controls: ['control_result', 'control_result_change', 'control_value', 'failure_act', 'control_plan'],
  verification: ['study', 'study_pair', 'study_decision'],
  stock: ['lot', 'lot_act', 'container', 'container_act', 'movement', 'preparation', 'bath_act'],
  storage: ['temperature', 'excursion', 'excursion_end'],
  rounds: ['assessment_round', 'assessment_round_act'],
  quality: ['recall', 'lookback', 'lookback_answer', 'lookback_close', 'deviation', 'deviation_act'],
  people: ['competence'],
  instruments: ['instrument', 'instrument_act'],
};

/** What is kept of one kind. */
export interface KeptHere {
  kind: KeptCode;
  years: number;
  records: number;
  /** When the first of them was made; null when there is none. */
  oldest: Instant | null;
  /** When the first of them has been kept for its years; null when there is none, or when only a person can say. */
  oldestUntil: Instant | null;
  /** How many have been kept for their years; null when only a person can say. They stay all the same. */
  past: number | null;
}

export type KnownHold = LegalHoldRow & { lifted: boolean; end: LegalHoldEndRow | null };

/** The laboratory's own terms in the order in which they were signed. */
export function keepingTerms(view: View): Promise<KeepingTermRow[]> {
  return view.all(KeepingTermRow, {}, { order: { seq: 'ASC', id: 'ASC' } });
}

/** Legal holds, the newest first. */
export async function legalHolds(view: View): Promise<KnownHold[]> {
  const rows = await view.all(LegalHoldRow, {}, { order: { seq: 'DESC', id: 'ASC' } });
  const ends = await view.all(LegalHoldEndRow);
  return rows.map((row) => {
    const end = ends.find(({ holdId }) => holdId === row.id) ?? null;
    return { ...row, lifted: end !== null, end };
  });
}

/** What is kept of every kind, for how long, and how far it has come. */
export async function keptHere(view: View, now: Instant, zone: string): Promise<KeptHere[]> {
  const terms = await keepingTerms(view);
  const kept: KeptHere[] = [];
  for (const kind of KEPT_CODES) {
    const years = yearsKept(kind, terms);
    const { runs } = kindOf(kind);
    const until = runs ? await lastBefore(view, termPassed(now, years, zone)) : 0;
    const { records, first, past } = await counted(view, TABLES[kind], until);
    const oldest = first === null ? null : ((await view.one(RecordRow, { seq: first }))?.at ?? null);
    kept.push({
      ...{ kind, years, records, oldest },
      oldestUntil: oldest === null || !runs ? null : keptUntil(oldest, years, zone),
      past: runs ? past : null,
    });
  }
  return kept;
}

/** Number of the last entry made before an instant; 0 when there is none. Entries follow one another in time. */
async function lastBefore(view: View, at: Instant): Promise<number> {
  let [low, high] = [0, (await view.all(RecordRow, {}, { order: { seq: 'DESC' }, take: 1 }))[0]?.seq ?? 0];
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    const entry = await view.one(RecordRow, { seq: middle });
    if (entry && entry.at < at) low = middle;
    else high = middle - 1;
  }
  return low;
}

async function counted(
  view: View,
  tables: readonly string[],
  until: number,
): Promise<{ records: number; first: number | null; past: number }> {
  const manager = await view.ready();
  const each = await Promise.all(
    tables.map(async (table) => {
      const rows = (await manager.query(
        `SELECT COUNT(*) AS records, MIN(seq) AS first, COALESCE(SUM(CASE WHEN seq <= $1 THEN 1 ELSE 0 END), 0) AS past
          FROM "${table}" WHERE laboratory_id = $2`,
        [until, view.laboratoryId],
      )) as { records: number | string; first: number | null; past: number | string }[];
      return rows[0] as (typeof rows)[0];
    }),
  );
  const firsts = each.flatMap(({ first }) => first ?? []);
  return {
    records: each.reduce((sum, { records }) => sum + Number(records), 0),
    first: firsts.length === 0 ? null : Math.min(...firsts),
    past: each.reduce((sum, { past }) => sum + Number(past), 0),
  };
}
