import { type CompetenceStanding, competenceAt } from '../../../core/competence/competence.js';
import type { Instant } from '../../../core/time/instant.js';
import type { View } from '../../view.js';
import { assessedFrom, competenceFacts } from '../competence.js';
import { ALL_KNOWN } from '../containers.js';
import { rowsOf, sql } from '../sql.js';
import { type Asking, runsOf } from './topic.js';

/** How competent a person was in one protocol at the starts of their runs for patients. */
export interface AskedCompetence {
  protocolId: string;
  title: string;
  runs: number;
  competent: number;
  /** Not competent, with a supervisor named in the run. */
  supervised: number;
  /** Neither. */
  alone: number;
  /** Where they stood at the last of these runs. */
  standing: CompetenceStanding;
}

interface Begun {
  protocolId: string;
  title: string;
  number: number;
  startedAt: Instant;
  supervised: boolean | number;
}

/** A person's competence at the start of each run for patients that they began in the period, by protocol. */
export async function askedCompetence(view: View, asking: Asking, personId: string): Promise<AskedCompetence[]> {
  const runs = await rowsOf<Begun>(
    view,
    sql`SELECT revision.protocol_id AS "protocolId", revision.title AS "title", revision.number AS "number",
        run.started_at AS "startedAt", CASE WHEN EXISTS (SELECT 1 FROM run_event beside
          WHERE beside.run_id = run.id AND beside.kind = 'supervised') THEN 1 ELSE 0 END AS "supervised"
      FROM run JOIN revision ON revision.id = run.revision_id
      WHERE run.id IN (SELECT id FROM (${runsOf(view, asking, sql`run.person_id = ${personId}`)}) own)
        AND run.purpose = 'patients' ORDER BY run.started_at, run.id`,
  );
  const told = new Map<string, AskedCompetence>();
  const facts = new Map<string, Awaited<ReturnType<typeof competenceFacts>>>();
  const floors = new Map<string, number>();
  for (const { protocolId, title, number, startedAt, supervised } of runs) {
    if (!facts.has(protocolId)) facts.set(protocolId, await competenceFacts(view, [personId], protocolId, ALL_KNOWN));
    const key = `${protocolId} ${number}`;
    if (!floors.has(key)) floors.set(key, await assessedFrom(view, { protocolId, number }, ALL_KNOWN));
    const acts = facts.get(protocolId)?.[0]?.acts ?? [];
    const standing = competenceAt(acts, startedAt, floors.get(key) ?? 0);
    const sum = told.get(protocolId) ?? { protocolId, title, runs: 0, competent: 0, supervised: 0, alone: 0, standing };
    const how = standing === 'competent' ? 'competent' : Number(supervised) === 1 ? 'supervised' : 'alone';
    told.set(protocolId, { ...sum, runs: sum.runs + 1, [how]: sum[how] + 1, standing });
  }
  return [...told.values()];
}
