import type { RunPurpose } from '../../../core/run/events.js';
import type { Instant } from '../../../core/time/instant.js';
import type { TracedLot } from '../../../core/trace/trace.js';
import type { View } from '../../view.js';
import { grouped } from '../grouped.js';
import { asked, placesAfter, type Reach, usesOf } from './reach.js';

/** More than any list is asked for at once. */
const ALL = 2_147_483_647;

/** How much a trace touches. */
export interface TraceCounts {
  containers: number;
  preparations: number;
  runs: number;
  /** Patients' specimens and slides. */
  subjects: number;
  releases: number;
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
