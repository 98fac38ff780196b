import type { ContainerCondition } from '../../core/lot/receive.js';
import type { RunPurpose } from '../../core/run/events.js';
import type { Instant } from '../../core/time/instant.js';
import type { Made, TracedLot } from '../../core/trace/trace.js';
import type { View } from '../view.js';

/** More than any list is asked for at once. */
const ALL = 2_147_483_647;

/**
 * The lots that hold something of the lots `:roots`, those themselves included, each with the instant since when: through
 * preparations, preparations of preparations, and what topped a bath up. What was taken from a bath before it was topped
 * up holds nothing of it.
 */
const REACHED = `WITH RECURSIVE reached (lot_id, since) AS (
    SELECT id, CAST('' AS text) FROM lot WHERE laboratory_id = $1 AND id IN (:roots)
    UNION
    SELECT component.lot_id, component.at FROM reached
      JOIN container ON container.lot_id = reached.lot_id
      JOIN component ON component.container_id = container.id AND component.at >= reached.since)
  SELECT lot_id AS "lotId", MIN(since) AS since FROM reached GROUP BY lot_id ORDER BY MIN(since), lot_id`;

/** Their containers, each with whether it stood on a tray before it held anything of the roots. */
const HELD = `SELECT container.id AS "containerId", container.lot_id AS "lotId" FROM container
  WHERE container.laboratory_id = $1 AND container.lot_id IN (:lots) ORDER BY container.seq, container.id`;

const EARLY = `SELECT held.container_id AS "containerId" FROM (:held) held
  WHERE EXISTS (SELECT 1 FROM tray_use WHERE tray_use.container_id = held.container_id AND tray_use.at < held.since)`;

/** A container that holds something of where a trace began. */
interface Held {
  containerId: string;
  /** Since when; empty for ever. */
  since: Instant | '';
  /** Whether it stood on a tray before that. */
  early: boolean;
}

/** How far lots reach: what is asked about them begins with it. */
export interface Reach {
  /** The lots where it begins. */
  roots: readonly string[];
  /** All lots that hold something of them, those themselves first. */
  lots: readonly string[];
  held: readonly Held[];
}

/** How far these lots reach. */
export async function reachOf(view: View, roots: readonly string[]): Promise<Reach> {
  const lots = await asked<{ lotId: string; since: Held['since'] }>(
    view,
    REACHED.replace(':roots', placesAfter(1, roots.length)),
    [view.laboratoryId, ...roots],
  );
  const lotIds = lots.map(({ lotId }) => lotId);
  const containers = await asked<{ containerId: string; lotId: string }>(
    view,
    HELD.replace(':lots', placesAfter(1, lotIds.length)),
    [view.laboratoryId, ...lotIds],
  );
  const since = new Map(lots.map((lot) => [lot.lotId, lot.since]));
  const held = containers.map(({ containerId, lotId }) => ({ containerId, since: since.get(lotId) ?? '' }));
  const made = held.filter((each) => each.since !== '');
  const early = await asked<{ containerId: string }>(
    view,
    EARLY.replace(':held', heldValues(made.length)),
    made.flatMap((each) => [each.containerId, each.since]),
  );
  const earlyIds = new Set(early.map(({ containerId }) => containerId));
  return { roots, lots: lotIds, held: held.map((each) => ({ ...each, early: earlyIds.has(each.containerId) })) };
}

/** So many containers with the instant since when, as a table. */
function heldValues(count: number, before = 0): string {
  const rows = Array.from(
    { length: count },
    (_, n) => `SELECT $${before + 2 * n + 1} AS container_id, $${before + 2 * n + 2} AS since`,
  );
  return rows.join(' UNION ALL ') || `SELECT '' AS container_id, '' AS since WHERE 1 = 0`;
}

/** Patients' specimens and slides in those runs: what a lookback asks about. */
const TOUCHED = `touched AS (
    SELECT DISTINCT run_subject.run_id, run_subject.subject_id FROM uses
      JOIN run ON run.id = uses.run_id AND run.purpose = 'patients'
      JOIN run_subject ON run_subject.run_id = uses.run_id AND run_subject.role = 'patient')`;

/** The beginning of a query, and its parameters. */
export interface Head {
  head: string;
  parameters: string[];
}

/**
 * The beginning of a query over `uses` and `touched`: the runs on whose tray one of these containers stood since it held
 * what is traced, or still stood when it came to hold it; in all runs or in some.
 */
export function usesOf({ held }: Reach, runIds?: readonly string[]): Head {
  const parts: string[] = [];
  const parameters: string[] = [];
  const add = (containers: readonly Held[], join: string): void => {
    if (containers.length === 0) return;
    const table = heldValues(containers.length, parameters.length);
    parameters.push(...containers.flatMap(({ containerId, since }) => [containerId, since]));
    const runs = runIds ? ` AND tray_use.run_id IN (${placesAfter(parameters.length, runIds.length)})` : '';
    parameters.push(...(runIds ?? []));
    parts.push(`SELECT tray_use.run_id, tray_use.container_id FROM (${table}) held
      JOIN tray_use ON tray_use.container_id = held.container_id${runs} ${join}`);
  };
  add(held, 'AND tray_use.at >= held.since');
  add(
    held.filter(({ early }) => early),
    `AND tray_use.at < held.since WHERE EXISTS (SELECT 1 FROM run_event later
      WHERE later.run_id = tray_use.run_id AND later.received_at >= held.since)`,
  );
  const uses = parts.join(' UNION ALL ') || `SELECT '' AS run_id, '' AS container_id WHERE 1 = 0`;
  return { head: `WITH uses AS NOT MATERIALIZED (${uses}), ${TOUCHED}`, parameters };
}

export async function asked<T>(view: View, sql: string, parameters: unknown[]): Promise<T[]> {
  return (await (await view.ready()).query(sql, parameters)) as T[];
}

/** A list of numbered parameters that begins after `before` others; NULL, which nothing equals, for none. */
export function placesAfter(before: number, count: number): string {
  if (count === 0) return 'NULL';
  return Array.from({ length: count }, (_, n) => `$${before + n + 1}`).join(', ');
}

/** How much a trace touches. */
export interface TraceCounts {
  containers: number;
  preparations: number;
  runs: number;
  /** Patients' specimens and slides. */
  subjects: number;
  releases: number;
}

/** The lots that a trace comes through, where it begins first, with their containers and how many runs each saw. */
export async function tracedLots(view: View, reach: Reach): Promise<TracedLot[]> {
  const { head, parameters } = usesOf(reach);
  const runs = await asked<{ containerId: string; runs: number | string }>(
    view,
    `${head} SELECT container_id AS "containerId", COUNT(DISTINCT run_id) AS runs FROM uses GROUP BY container_id`,
    parameters,
  );
  const components = await asked<Made>(
    view,
    `SELECT DISTINCT container_id AS "containerId", lot_id AS "lotId", at FROM component
      WHERE laboratory_id = $1 AND container_id IN (${placesAfter(1, reach.held.length)}) ORDER BY at, lot_id, container_id`,
    [view.laboratoryId, ...reach.held.map(({ containerId }) => containerId)],
  );
  const since = new Map(reach.held.map((each) => [each.containerId, each.since]));
  return lotsWith(
    view,
    reach.lots,
    components.filter(({ containerId, at }) => at >= (since.get(containerId) ?? '')),
    new Map(runs.map(({ containerId, runs: count }) => [containerId, Number(count)])),
  );
}

/** Ids of the lots that were made of these, through preparations of preparations, those themselves left out. */
export async function lotsMadeOf(view: View, roots: readonly string[]): Promise<string[]> {
  const { lots } = await reachOf(view, roots);
  return lots.filter((id) => !roots.includes(id));
}

/** Counts over all that a trace touches. */
export async function traceCounts(view: View, reach: Reach, lots: readonly TracedLot[]): Promise<TraceCounts> {
  const { head, parameters } = usesOf(reach);
  const [found] = await asked<Record<'runs' | 'subjects' | 'releases', number | string>>(
    view,
    `${head} SELECT COUNT(DISTINCT uses.run_id) AS runs, COUNT(DISTINCT run_subject.subject_id) AS subjects,
        COUNT(DISTINCT release.id) AS releases
      FROM uses LEFT JOIN run_subject ON run_subject.run_id = uses.run_id AND run_subject.role = 'patient'
      LEFT JOIN release ON release.run_id = uses.run_id AND release.subject_id = run_subject.subject_id`,
    parameters,
  );
  return {
    containers: lots.reduce((sum, { containers }) => sum + containers.length, 0),
    preparations: lots.filter(({ id, origin }) => origin === 'prepared' && !reach.roots.includes(id)).length,
    runs: Number(found?.runs ?? 0),
    subjects: Number(found?.subjects ?? 0),
    releases: Number(found?.releases ?? 0),
  };
}

/** A run that a trace touches. */
export interface TracedRun {
  id: string;
  title: string;
  station: string;
  purpose: RunPurpose;
  startedAt: Instant;
  personId: string;
  /** Containers on its tray through which it is touched. */
  containerIds: string[];
  subjects: TracedSubject[];
}

export interface TracedSubject {
  id: string;
  label: string;
  kind: 'specimen' | 'slide' | 'control';
  description: string;
  role: 'patient' | 'control';
  releases: { id: string; point: string; kind: string; at: Instant; name: string }[];
}

/** The ids of the runs that a trace touches, oldest first, at most `take`, after the run `after` in that order. */
export async function tracedRunIds(
  view: View,
  reach: Reach,
  { take = ALL, after = '' }: { take?: number; after?: string | undefined } = {},
): Promise<string[]> {
  const { head, parameters } = usesOf(reach);
  const n = parameters.length;
  const rows = await asked<{ id: string }>(
    view,
    `${head} SELECT DISTINCT run_id AS id FROM uses WHERE run_id > $${n + 1} ORDER BY run_id LIMIT $${n + 2}`,
    [...parameters, after, take],
  );
  return rows.map(({ id }) => id);
}

/** Those of these runs that a trace touches, with what was stained in them and released, in the order of their ids. */
export async function tracedRuns(view: View, reach: Reach, runIds: readonly string[]): Promise<TracedRun[]> {
  const uses = await usesIn(view, reach, runIds);
  return runsWith(view, [...uses.keys()].sort(), uses);
}

async function runsWith(
  view: View,
  runIds: readonly string[],
  uses: ReadonlyMap<string, string[]>,
): Promise<TracedRun[]> {
  if (runIds.length === 0) return [];
  const rows = await asked<Omit<TracedRun, 'containerIds' | 'subjects'>>(
    view,
    `SELECT run.id, revision.title, run.station, run.purpose, run.started_at AS "startedAt", run.person_id AS "personId"
      FROM run JOIN revision ON revision.id = run.revision_id
      WHERE run.laboratory_id = $1 AND run.id IN (${placesAfter(1, runIds.length)}) ORDER BY run.id`,
    [view.laboratoryId, ...runIds],
  );
  const subjects = await subjectsInRuns(view, runIds);
  return rows.map((row) => ({
    ...row,
    containerIds: uses.get(row.id) ?? [],
    subjects: subjects.get(row.id) ?? [],
  }));
}

/** The containers through which these runs are touched. */
export async function usesIn(view: View, reach: Reach, runIds: readonly string[]): Promise<Map<string, string[]>> {
  if (runIds.length === 0) return new Map();
  const { head, parameters } = usesOf(reach, runIds);
  const rows = await asked<{ runId: string; containerId: string }>(
    view,
    `${head} SELECT DISTINCT run_id AS "runId", container_id AS "containerId" FROM uses ORDER BY container_id`,
    parameters,
  );
  return grouped(
    rows,
    ({ runId }) => runId,
    ({ containerId }) => containerId,
  );
}

/** What was stained in these runs and what was released of it, by run. */
export async function subjectsInRuns(view: View, runIds: readonly string[]): Promise<Map<string, TracedSubject[]>> {
  if (runIds.length === 0) return new Map();
  const places = placesAfter(1, runIds.length);
  const parameters = [view.laboratoryId, ...runIds];
  const inRuns = await asked<{ runId: string; subjectId: string; role: TracedSubject['role'] }>(
    view,
    `SELECT run_id AS "runId", subject_id AS "subjectId", role FROM run_subject
      WHERE laboratory_id = $1 AND run_id IN (${places}) ORDER BY seq, id`,
    parameters,
  );
  // Asked by their own ids: joined to so many runs, PostgreSQL reads every subject there is.
  const known = await subjectsById(view, [...new Set(inRuns.map(({ subjectId }) => subjectId))]);
  const subjects = inRuns.flatMap(({ runId, subjectId, role }) => {
    const subject = known.get(subjectId);
    return subject ? [{ runId, ...subject, role }] : [];
  });
  const releases = await asked<
    { runId: string; subjectId: string; signature: string } & TracedSubject['releases'][number]
  >(
    view,
    `SELECT id, run_id AS "runId", subject_id AS "subjectId", point, kind, signature FROM release
      WHERE laboratory_id = $1 AND run_id IN (${places}) ORDER BY seq, id`,
    parameters,
  );
  const ofSubject = grouped(
    releases,
    ({ runId, subjectId }) => `${runId} ${subjectId}`,
    ({ id, point, kind, signature }) => {
      const { at, name } = JSON.parse(signature) as { at: Instant; name: string };
      return { id, point, kind, at, name };
    },
  );
  return grouped(
    subjects,
    ({ runId }) => runId,
    ({ runId, ...subject }) => ({ ...subject, releases: ofSubject.get(`${runId} ${subject.id}`) ?? [] }),
  );
}

async function subjectsById(
  view: View,
  ids: readonly string[],
): Promise<Map<string, Omit<TracedSubject, 'releases' | 'role'>>> {
  if (ids.length === 0) return new Map();
  const rows = await asked<Omit<TracedSubject, 'releases' | 'role'>>(
    view,
    `SELECT id, label, kind, description FROM subject WHERE laboratory_id = $1 AND id IN (${placesAfter(1, ids.length)})`,
    [view.laboratoryId, ...ids],
  );
  return new Map(rows.map((row) => [row.id, row]));
}

/** Lots by their ids in that order, with their containers. */
async function lotsWith(
  view: View,
  ids: readonly string[],
  made: readonly Made[],
  runs: ReadonlyMap<string, number>,
): Promise<TracedLot[]> {
  if (ids.length === 0) return [];
  const places = placesAfter(1, ids.length);
  const parameters = [view.laboratoryId, ...ids];
  const lots = await asked<Omit<TracedLot, 'containers' | 'madeOf'>>(
    view,
    `SELECT lot.id, lot.reagent_code AS reagent, lot.number, lot.origin, lot.source, lot.received_at AS "receivedAt",
        COALESCE((SELECT standing FROM lot_act WHERE lot_act.lot_id = lot.id ORDER BY at DESC, seq DESC, lot_act.id DESC LIMIT 1),
          'quarantined') AS standing
      FROM lot WHERE lot.laboratory_id = $1 AND lot.id IN (${places})`,
    parameters,
  );
  const containers = await asked<{ lotId: string; id: string; label: string; state: ContainerCondition }>(
    view,
    `SELECT container.lot_id AS "lotId", container.id, container.label,
        COALESCE((SELECT state FROM container_act WHERE container_act.container_id = container.id
          ORDER BY at DESC, seq DESC, container_act.id DESC LIMIT 1), 'unopened') AS state
      FROM container WHERE container.laboratory_id = $1 AND container.lot_id IN (${places})
      ORDER BY container.seq, container.id`,
    parameters,
  );
  const byLot = grouped(
    containers,
    ({ lotId }) => lotId,
    ({ id, label, state }) => ({ id, label, state, runs: runs.get(id) ?? 0 }),
  );
  const edges = grouped(
    made,
    ({ lotId }) => lotId,
    ({ containerId, lotId, at }) => ({ containerId, lotId, at }),
  );
  const known = new Map(lots.map((lot) => [lot.id, lot]));
  return ids.flatMap((id) => {
    const lot = known.get(id);
    return lot ? [{ ...lot, containers: byLot.get(id) ?? [], madeOf: edges.get(id) ?? [] }] : [];
  });
}

/** The runs in which one of these was stained, oldest first, each with all containers on its tray. */
export async function runsOfSubjects(view: View, subjectIds: readonly string[]): Promise<TracedRun[]> {
  const runs = await asked<{ id: string }>(
    view,
    `SELECT DISTINCT run_id AS id FROM run_subject
      WHERE laboratory_id = $1 AND subject_id IN (${placesAfter(1, subjectIds.length)}) ORDER BY run_id`,
    [view.laboratoryId, ...subjectIds],
  );
  const ids = runs.map(({ id }) => id);
  const uses = await asked<{ runId: string; containerId: string }>(
    view,
    `SELECT DISTINCT run_id AS "runId", container_id AS "containerId" FROM tray_use
      WHERE laboratory_id = $1 AND run_id IN (${placesAfter(1, ids.length)}) ORDER BY container_id`,
    [view.laboratoryId, ...ids],
  );
  const byRun = grouped(
    uses,
    ({ runId }) => runId,
    ({ containerId }) => containerId,
  );
  return runsWith(view, ids, byRun);
}

/**
 * The lots of these containers, what those were made of, and so on back to what was bought, each with what it was made of.
 * All that ever went into a bath is shown, whatever was in it at the time. Run counts are those of the runs given.
 */
export async function originsOf(view: View, runs: readonly TracedRun[]): Promise<TracedLot[]> {
  const containers = [...new Set(runs.flatMap(({ containerIds }) => containerIds))];
  if (containers.length === 0) return [];
  const head = `WITH RECURSIVE reached (lot_id) AS (
      SELECT lot_id FROM container WHERE laboratory_id = $1 AND id IN (${placesAfter(1, containers.length)})
      UNION
      SELECT container.lot_id FROM reached
        JOIN component ON component.lot_id = reached.lot_id JOIN container ON container.id = component.container_id)`;
  const parameters = [view.laboratoryId, ...containers];
  const lots = await asked<{ id: string }>(
    view,
    `${head} SELECT lot.id FROM reached JOIN lot ON lot.id = reached.lot_id ORDER BY lot.seq DESC, lot.id`,
    parameters,
  );
  const made = await asked<Made>(
    view,
    `${head} SELECT component.container_id AS "containerId", component.lot_id AS "lotId", component.at FROM reached
      JOIN component ON component.lot_id = reached.lot_id ORDER BY component.at, component.id`,
    parameters,
  );
  const counts = new Map(
    containers.map((id) => [id, runs.filter(({ containerIds }) => containerIds.includes(id)).length] as const),
  );
  return lotsWith(
    view,
    lots.map(({ id }) => id),
    made,
    counts,
  );
}

export function grouped<Row, Value>(
  rows: readonly Row[],
  key: (row: Row) => string,
  value: (row: Row) => Value,
): Map<string, Value[]> {
  const groups = new Map<string, Value[]>();
  for (const row of rows) {
    const name = key(row);
    const group = groups.get(name);
    if (group) group.push(value(row));
    else groups.set(name, [value(row)]);
  }
  return groups;
}
