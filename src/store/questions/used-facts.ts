import { stepsUpTo } from '../../core/second-look/bears.js';
import type { InstrumentStay } from '../../core/second-look/stays.js';
import { type Instant, plusMs } from '../../core/time/instant.js';
import type { View } from '../view.js';
import { LAST_INSTANT } from './failures.js';
import { revisionOf } from './runs.js';
import { asked, placesAfter } from './trace/reach.js';

/** What changed, as releases used it. */
export type UsedFact =
  /** Releases that were found otherwise, by their ids. */
  | { releases: readonly string[] }
  /** What stood on a tray; `since`: only where the run went on after that instant; `butRun`: all runs but that one. */
  | { containers: readonly string[]; since?: Instant; butRun?: string }
  | { lot: string }
  /** A person's work in runs of a protocol at `since` or later; null is ever. */
  | { person: string; protocol: string; since: Instant | null }
  /** Where an instrument stood, in runs that began before `until` and went on at `since` or later; null is ever. */
  | { stays: readonly InstrumentStay[]; since: Instant | null; until: Instant | null }
  | { revision: string }
  /** A specimen, and what was cut from it. */
  | { specimen: string }
  /** Protocols with a step that names the reagent. */
  | { reagent: string }
  /** A control's reading that was on record when the release was signed; in all runs but its own. */
  | { reading: { seq: number; runId: string | null; protocolId: string; revisionId: string | null } };

/** No run lasts longer, so that an index on its start narrows what went on at an instant: the limit is ours. */
const LONGEST_RUN_MS = 30 * 86_400_000;

/** The earliest start of a run that may have gone on at an instant. */
function earliest(since: Instant | null): Instant | '' {
  return since === null ? '' : plusMs(since, -LONGEST_RUN_MS);
}

/** Whether a run went on at an instant or later, by when its steps came in; a time corrected afterwards may reach there. */
function wentOn(run: string, place: string): string {
  return `EXISTS (SELECT 1 FROM run_event WHERE run_event.run_id = ${run} AND run_event.received_at >= ${place}
    AND (run_event.kind IN ('step-started', 'step-ended') OR (run_event.kind = 'corrected' AND run_event.data LIKE '%"at":"%')))`;
}

/** A release that still speaks for itself: neither withdrawn nor replaced by an amended one. */
const SPEAKS = `NOT EXISTS (SELECT 1 FROM release_withdrawal gone WHERE gone.release_id = release.id)
  AND NOT EXISTS (SELECT 1 FROM release later WHERE later.run_id = release.run_id AND later.amends = release.id)`;

/**
 * Ids of the releases that used a fact, each by one query: those that still speak for themselves, of what was recorded
 * before. Of containers, only releases whose steps use the reagent for which they stood on the tray.
 */
export async function releasesThatUsed(view: View, fact: UsedFact): Promise<string[]> {
  if ('releases' in fact) return [...fact.releases];
  if ('containers' in fact || 'lot' in fact) return throughTrays(view, fact);
  const { from, parameters } = joined(fact);
  const rows = await asked<{ id: string }>(
    view,
    `SELECT DISTINCT release.id FROM ${from} AND ${SPEAKS} ORDER BY release.id`,
    [view.laboratoryId, ...parameters],
  );
  return rows.map(({ id }) => id);
}

type ByTray = Extract<UsedFact, { containers: readonly string[] } | { lot: string }>;

/** How the other facts lead to releases; `$1` is the laboratory. */
function joined(fact: Exclude<UsedFact, ByTray | { releases: readonly string[] }>): {
  from: string;
  parameters: (string | number)[];
} {
  const runs = `run JOIN release ON release.run_id = run.id`;
  if ('person' in fact) {
    const { person, protocol, since } = fact;
    return {
      from: `${runs} JOIN revision ON revision.id = run.revision_id
        WHERE run.laboratory_id = $1 AND revision.protocol_id = $2 AND run.started_at >= $3
          AND ${wentOn('run.id', '$4')}
          AND EXISTS (SELECT 1 FROM run_event WHERE run_event.run_id = run.id
            AND run_event.kind IN ('step-started', 'step-ended', 'supervised')
            AND (run_event.person_id = $5 OR run_event.data LIKE $6))`,
      parameters: [protocol, earliest(since), since ?? '', person, `%"${person}"%`],
    };
  }
  if ('stays' in fact) {
    const { stays, since, until } = fact;
    const parameters: string[] = [earliest(since), since ?? '', until ?? LAST_INSTANT];
    const place = (value: string): string => `$${parameters.push(value) + 1}`;
    const places = stays.map(
      (stay) =>
        `(run.station = ${place(stay.station)} AND run.started_at >= ${place(stay.from)} AND run.started_at < ${place(stay.until ?? LAST_INSTANT)})`,
    );
    return {
      from: `${runs} WHERE run.laboratory_id = $1 AND run.started_at >= $2
          AND ${wentOn('run.id', '$3')}
          AND run.started_at < $4 AND (${places.join(' OR ') || '1 = 0'})`,
      parameters,
    };
  }
  if ('revision' in fact) {
    return { from: `${runs} WHERE run.laboratory_id = $1 AND run.revision_id = $2`, parameters: [fact.revision] };
  }
  if ('specimen' in fact) {
    return {
      from: `subject JOIN release ON release.subject_id = subject.id
        WHERE subject.laboratory_id = $1 AND (subject.id = $2 OR subject.parent_id = $2)`,
      parameters: [fact.specimen],
    };
  }
  if ('reagent' in fact) {
    return {
      from: `${runs} JOIN revision ON revision.id = run.revision_id
        WHERE run.laboratory_id = $1 AND revision.content LIKE $2`,
      parameters: [`%"reagent":"${fact.reagent}"%`],
    };
  }
  const { seq, runId, protocolId, revisionId } = fact.reading;
  return {
    from: `${runs} JOIN revision ON revision.id = run.revision_id
      WHERE run.laboratory_id = $1 AND release.seq > $2 AND revision.protocol_id = $3 AND run.id <> $4
        ${revisionId === null ? '' : 'AND run.revision_id = $5'}`,
    parameters: [seq, protocolId, runId ?? '', ...(revisionId === null ? [] : [revisionId])],
  };
}

async function throughTrays(view: View, fact: ByTray): Promise<string[]> {
  const parameters: string[] = [view.laboratoryId];
  const place = (value: string): string => `$${parameters.push(value)}`;
  const uses =
    'lot' in fact
      ? `container JOIN tray_use ON tray_use.container_id = container.id JOIN release ON release.run_id = tray_use.run_id
          WHERE container.laboratory_id = $1 AND container.lot_id = ${place(fact.lot)}`
      : `tray_use JOIN release ON release.run_id = tray_use.run_id
          WHERE tray_use.laboratory_id = $1 AND tray_use.container_id IN (${placesAfter(1, fact.containers.length)})`;
  if ('containers' in fact) parameters.push(...fact.containers);
  const since =
    'since' in fact && fact.since !== undefined ? `AND ${wentOn('tray_use.run_id', place(fact.since))}` : '';
  const butRun = 'butRun' in fact && fact.butRun !== undefined ? `AND tray_use.run_id <> ${place(fact.butRun)}` : '';
  const rows = await asked<{ id: string; point: string; reagent: string; revisionId: string }>(
    view,
    `SELECT DISTINCT used.id, used.point, used.reagent, run.revision_id AS "revisionId"
      FROM (SELECT release.id, release.run_id, release.point, tray_use.reagent_code AS reagent FROM ${uses} ${since} ${butRun}
        AND ${SPEAKS}) used
      JOIN run ON run.id = used.run_id ORDER BY used.id`,
    parameters,
  );
  const protocols = new Map(
    await Promise.all(
      [...new Set(rows.map(({ revisionId }) => revisionId))].map(
        async (id) => [id, (await revisionOf(view, id)).content] as const,
      ),
    ),
  );
  const used = rows.filter(({ revisionId, point, reagent }) => {
    const protocol = protocols.get(revisionId);
    return protocol === undefined || stepsUpTo(protocol, point).some((step) => step.reagent === reagent);
  });
  return [...new Set(used.map(({ id }) => id))];
}
