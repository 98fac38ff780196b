import { In, LessThanOrEqual } from 'typeorm';
import type { PersonFacts } from '../../core/competence/competence.js';
import type { Instant } from '../../core/time/instant.js';
import { CompetenceRow } from '../rows/competence.entity.js';
import { PersonRow } from '../rows/people.entity.js';
import type { View } from '../view.js';

/** People with what was decided on their competence in a protocol, up to a record number. */
export async function competenceFacts(
  view: View,
  personIds: readonly string[],
  protocolId: string,
  upToSeq: number,
): Promise<PersonFacts[]> {
  const ids = [...new Set(personIds)];
  if (ids.length === 0) return [];
  const people = await view.all(PersonRow, { id: In(ids) });
  const acts = await view.all(
    CompetenceRow,
    { personId: In(ids), protocolId, seq: LessThanOrEqual(upToSeq) },
    { order: { seq: 'ASC', id: 'ASC' } },
  );
  return people.map(({ id, name }) => ({ id, name, acts: acts.filter(({ personId }) => personId === id) }));
}

/**
 * The lowest revision number on which an assessment still counts for a revision of a protocol: that of the last one up to
 * it which asked for a new assessment when it was approved; 0 when none did.
 */
export async function assessedFrom(
  view: View,
  { protocolId, number }: { protocolId: string; number: number },
  upToSeq: number,
): Promise<number> {
  const [row] = (await (
    await view.ready()
  ).query(
    `SELECT MAX(revision.number) AS "number" FROM revision
      JOIN revision_act act ON act.revision_id = revision.id AND act.kind = 'approved' AND act.seq <= $1
      WHERE revision.laboratory_id = $2 AND revision.protocol_id = $3 AND revision.number <= $4
        AND act.data LIKE '%"newAssessment":true%'`,
    [upToSeq, view.laboratoryId, protocolId, number],
  )) as { number: number | null }[];
  return row?.number ?? 0;
}

/** The start of each person's first run for patients in each protocol, by '<person> <protocol>'. */
export async function firstRuns(view: View): Promise<Map<string, Instant>> {
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT run.person_id AS "personId", revision.protocol_id AS "protocolId", MIN(run.started_at) AS "startedAt"
      FROM run JOIN revision ON revision.id = run.revision_id
      WHERE run.laboratory_id = $1 AND run.purpose = 'patients' GROUP BY run.person_id, revision.protocol_id`,
    [view.laboratoryId],
  )) as { personId: string; protocolId: string; startedAt: Instant }[];
  return new Map(rows.map(({ personId, protocolId, startedAt }) => [`${personId} ${protocolId}`, startedAt]));
}
