import { roundStanding } from '../../../core/external-assessment/round.js';
import { instrumentFaults, stationAt } from '../../../core/instruments/instrument.js';
import type { Instant } from '../../../core/time/instant.js';
import { RoundActRow, RoundRow } from '../../rows/rounds.entity.js';
import type { View } from '../../view.js';
import { runsOf } from '../ask/topic.js';
import { knownInstruments } from '../instruments.js';
import { signaturesBetween } from '../review/signatures.js';
import { rowsOf, sql } from '../sql.js';
import { gapUnless, type Proof, type ProofRow, type Proving } from './proof.js';

/** Proofs of what holds for people, instruments and comparison with others. */
export const PEOPLE_PROOFS = {
  'competence-current': {
    sql: () => sql`SELECT worked.id, worked.started_at AS at, 'run' AS kind, worked.id AS ref,
        person.name || ': ' || worked.title AS what,
        ${gapUnless(sql`EXISTS (SELECT 1 FROM competence WHERE competence.id = (SELECT last.id FROM competence last
            WHERE last.person_id = worked.person_id AND last.protocol_id = worked.protocol_id
              AND last.at <= worked.started_at ORDER BY last.at DESC, last.seq DESC LIMIT 1)
          AND competence.decision = 'competent' AND (competence.until IS NULL OR competence.until > worked.started_at)
          AND competence.revision >= COALESCE((SELECT MAX(revision.number) FROM revision
            JOIN revision_act act ON act.revision_id = revision.id AND act.kind = 'approved'
            WHERE revision.protocol_id = worked.protocol_id AND revision.laboratory_id = person.laboratory_id
              AND revision.number <= worked.number AND act.data LIKE '%"newAssessment":true%'), 0))
          OR EXISTS (SELECT 1 FROM run_event beside WHERE beside.run_id = worked.id AND beside.kind = 'supervised')`)}
      FROM worked JOIN person ON person.id = worked.person_id`,
  },
  'signers-authorised': {
    rows: async (view, { asking }) =>
      (await signaturesBetween(view, asking)).map(({ id, at, kind, ref, name, what, authorised }) => ({
        id,
        at,
        kind,
        ref,
        what: `${name}: ${what}`,
        gap: !authorised,
      })),
  },
  'instruments-checked': { rows: runsWithInstruments },
  'rounds-followed': { rows: roundsReceived },
} satisfies Record<string, Proof>;

/** Runs at places where instruments stood, each a gap when something spoke against one of these as it began. */
async function runsWithInstruments(view: View, { asking }: Proving): Promise<ProofRow[]> {
  const runs = await rowsOf<{ id: string; at: Instant; station: string; title: string }>(
    view,
    sql`SELECT id AS "id", started_at AS "at", station AS "station", title AS "title"
      FROM (${runsOf(view, asking, sql`run.purpose = 'patients'`)}) worked`,
  );
  const instruments = await knownInstruments(view);
  return runs.flatMap(({ id, at, station, title }) => {
    const here = instruments.filter((each) => stationAt(each, at) === station);
    if (here.length === 0) return [];
    const unfit = here.filter((each) => instrumentFaults(each, at).length > 0).map(({ code }) => code);
    const what = unfit.length === 0 ? title : `${title}: ${unfit.join(', ')}`;
    return [{ id, at, kind: 'run', ref: id, what, gap: unfit.length > 0 }];
  });
}

async function roundsReceived(view: View, { asking: { from, to }, now }: Proving): Promise<ProofRow[]> {
  const rounds = (await view.all(RoundRow)).filter(({ receivedAt }) => receivedAt >= from && receivedAt < to);
  const acts = rounds.length === 0 ? [] : await view.all(RoundActRow, {}, { order: { seq: 'ASC', id: 'ASC' } });
  return rounds.map(({ id, body, round, receivedAt, dueAt }) => {
    const standing = roundStanding(acts.filter(({ roundId }) => roundId === id));
    const gap = standing === 'to be looked into' || (standing === 'to be stained' && dueAt < now);
    return { id, at: receivedAt, kind: 'assessment-round', ref: id, what: `${body} ${round}: ${standing}`, gap };
  });
}
