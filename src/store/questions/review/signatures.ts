import type { Role } from '../../../core/people/roles.js';
import { rolesAt, type RolesGiven } from '../../../core/people/tenure.js';
import type { Signature } from '../../../core/record/signed.js';
import type { Instant } from '../../../core/time/instant.js';
import type { View } from '../../view.js';
import { ALL, type Asking } from '../ask/topic.js';
import { rowsOf, type Sql, sql } from '../sql.js';

/** A signature with the roles of which the signer had to hold one, and those that they held then. */
export interface KnownSignature {
  id: string;
  at: Instant;
  personId: string;
  name: string;
  meaning: string;
  /** What was signed. */
  what: string;
  kind: string;
  ref: string;
  needs: readonly Role[];
  held: readonly Role[];
  authorised: boolean;
}

interface Source {
  what: string;
  table: Sql;
  kind: string;
  ref: Sql;
  /** A signature, or data that hold one as `signature` or `second`. */
  column: Sql;
  needs: readonly Role[];
  which?: Sql;
}

/** Signatures that only a director gives, each in a row of its own. */
const BY_DIRECTORS: readonly Source[] = (
  [
    ['policy of the gate', sql`gate_policy`],
    ['time of keeping', sql`keeping_term`],
    ['legal hold', sql`legal_hold`],
    ['end of a legal hold', sql`legal_hold_end`],
  ] as const
).map(([what, table]) => ({
  what,
  table,
  kind: 'signed',
  ref: sql`id`,
  column: sql`signature`,
  needs: ['director'],
}));

/** Where signatures stand, what they are on, and who may give them. */
const SOURCES: readonly Source[] = [
  ...BY_DIRECTORS,
  {
    what: 'approval of a protocol',
    table: sql`revision_act`,
    kind: 'revision',
    ref: sql`revision_id`,
    column: sql`data`,
    needs: ['director'],
    which: sql`fact.kind = 'approved'`,
  },
  {
    what: 'end of a protocol',
    table: sql`revision_act`,
    kind: 'revision',
    ref: sql`revision_id`,
    column: sql`data`,
    needs: ['director'],
    which: sql`fact.kind = 'retired'`,
  },
  {
    what: 'approval of a control plan',
    table: sql`control_plan_act`,
    kind: 'control-plan',
    ref: sql`plan_id`,
    column: sql`signature`,
    needs: ['director'],
  },
  {
    what: 'decision on competence',
    table: sql`competence`,
    kind: 'person',
    ref: sql`person_id`,
    column: sql`signature`,
    needs: ['director', 'manager'],
  },
  {
    what: 'decision on a new lot',
    table: sql`study_decision`,
    kind: 'study',
    ref: sql`study_id`,
    column: sql`signature`,
    needs: ['director', 'manager'],
  },
  {
    what: 'second signature on an exception',
    table: sql`release`,
    kind: 'run',
    ref: sql`run_id`,
    column: sql`exception`,
    needs: ['releaser', 'director'],
  },
  {
    what: 'end of a lookback',
    table: sql`lookback_close`,
    kind: 'lookback',
    ref: sql`lookback_id`,
    column: sql`signature`,
    needs: ['releaser', 'director'],
  },
  {
    what: 'release',
    table: sql`release`,
    kind: 'run',
    ref: sql`run_id`,
    column: sql`signature`,
    needs: ['releaser'],
  },
];

/** The signatures given in a period, each with the roles that the signer held at the time. */
export async function signaturesBetween(
  view: View,
  { from, to }: Pick<Asking, 'from' | 'to'>,
): Promise<KnownSignature[]> {
  const given = await rolesGiven(view);
  const found: KnownSignature[] = [];
  for (const { what, table, kind, ref, column, needs, which = ALL } of SOURCES) {
    // CROSS JOIN keeps SQLite from looking through all facts for each entry of the period.
    const rows = await rowsOf<{ id: string; ref: string; signed: string }>(
      view,
      sql`SELECT fact.id AS "id", fact.${ref} AS "ref", fact.${column} AS "signed" FROM ${table} fact
        CROSS JOIN record_entry entry
        WHERE fact.laboratory_id = ${view.laboratoryId} AND entry.laboratory_id = fact.laboratory_id
          AND entry.seq = fact.seq AND entry.at >= ${from} AND entry.at < ${to} AND fact.${column} IS NOT NULL AND ${which}`,
    );
    for (const row of rows) {
      const signature = signatureIn(row.signed);
      if (!signature) continue;
      const { at, personId, name, meaning } = signature;
      const held = rolesAt(given.get(personId) ?? [], at);
      const authorised = held.some((role) => needs.includes(role));
      // A release and the second signature on its exception stand in one row.
      found.push({
        id: `${row.id} ${what}`,
        at,
        personId,
        name,
        meaning,
        what,
        kind,
        ref: row.ref,
        needs,
        held,
        authorised,
      });
    }
  }
  return found.sort((a, b) => (a.at < b.at ? -1 : 1));
}

function signatureIn(text: string): Signature | null {
  const held = JSON.parse(text) as Partial<Signature> & { signature?: Signature; second?: Signature };
  const found = held.signature ?? held.second ?? held;
  return found.personId === undefined ? null : (found as Signature);
}

/** The roles that each person was ever given, in the order of the record, by the person's id. */
export async function rolesGiven(view: View): Promise<Map<string, RolesGiven[]>> {
  const rows = await rowsOf<{ id: string; at: Instant; body: string }>(
    view,
    sql`SELECT subject_id AS "id", at AS "at", body AS "body" FROM record_entry
      WHERE laboratory_id = ${view.laboratoryId} AND subject_kind = 'person'
        AND act IN ('laboratory.set-up', 'person.added', 'person.changed') ORDER BY seq`,
  );
  const given = new Map<string, RolesGiven[]>();
  for (const { id, at, body } of rows) {
    const { roles } = (JSON.parse(body) as { data: { roles?: Role[] } }).data;
    if (roles) given.set(id, [...(given.get(id) ?? []), { at, roles }]);
  }
  return given;
}
