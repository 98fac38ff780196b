import { In } from 'typeorm';
import type { RunFacts } from '../../core/gate/facts.js';
import type { RunEvent, RunPurpose } from '../../core/run/events.js';
import { trayContainers } from '../../core/run/state.js';
import type { RunView } from '../../core/run/view.js';
import type { Instant } from '../../core/time/instant.js';
import { PersonRow } from '../rows/people.entity.js';
import { RevisionRow } from '../rows/protocols.entity.js';
import { BenchRunRow, RunEventRow, RunRow, RunSubjectRow } from '../rows/runs.entity.js';
import type { Unit } from '../unit.js';
import type { View } from '../view.js';
import { ALL_KNOWN, containerFacts } from './containers.js';
import { controlsOffered } from './control-plans.js';
import { eyesOf, factsOfRuns } from './facts-of-runs.js';
import type { LoadedRun } from './loaded-run.js';
import { revisionOf } from './revisions.js';
import { grouped } from './grouped.js';
import { sealedValues } from './sealed.js';
import { holding } from './sql.js';
import { subjectsOf } from './subjects.js';

/** `addRunEvent` adds to the kept events themselves, so that a new one does not make them old. */
const KEPT_BY_HAND: [] = [];

export type { LoadedRun };
export { revisionOf };

/** A run and all that was recorded of it up to a record number; refuses when there is no such run. */
export async function loadRun(view: View, runId: string, upToSeq?: number): Promise<LoadedRun> {
  // A run's subjects are written with it, and a revision's content with its row: neither changes afterwards.
  const { run, subjects } = await view.recall(`run ${runId}`, async () => ({
    run: await view.need(RunRow, { id: runId }, `run ${runId}`),
    subjects: await view.all(RunSubjectRow, { runId }),
  }));
  const revision = await revisionOf(view, run.revisionId);
  const load = (): Promise<RunEvent[]> => runEvents(view, runId, upToSeq);
  const events = upToSeq === undefined ? await view.recallLive(`events ${runId}`, KEPT_BY_HAND, load) : await load();
  return { run, revision, subjects, events };
}

type StoredEvent = { [K in 'id' | 'kind' | 'data' | 'stamp' | 'person_id' | 'received_at']: string } & { seq: number };

/**
 * A run's events in the order of the record. Read at each event that a bench sends, so without the cost of TypeORM's
 * entities.
 */
export async function runEvents(view: View, runId: string, upToSeq: number = ALL_KNOWN): Promise<RunEvent[]> {
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT id, seq, kind, data, stamp, person_id, received_at FROM run_event
      WHERE run_id = $1 AND laboratory_id = $2 AND seq <= $3 ORDER BY seq, id`,
    [runId, view.laboratoryId, upToSeq],
  )) as StoredEvent[];
  return rows.map((row) => eventOf(runId, row));
}

function eventOf(
  runId: string,
  { id, seq, kind, data, stamp, person_id: personId, received_at: receivedAt }: StoredEvent,
): RunEvent {
  return { id, runId, seq, kind, data: parsed(data), stamp: parsed(stamp), personId, receivedAt } as RunEvent;
}

function parsed(text: string): unknown {
  return JSON.parse(text);
}

/** These runs with all that was recorded of them up to a record number, in the order of their ids; unknown ones are left out. */
export async function loadRuns(view: View, runIds: readonly string[], upToSeq: number): Promise<LoadedRun[]> {
  if (runIds.length === 0) return [];
  const places = runIds.map((_, n) => `$${n + 2}`).join(', ');
  const manager = await view.ready();
  const runs = (await manager.query(
    `SELECT id, laboratory_id AS "laboratoryId", seq, revision_id AS "revisionId", station, purpose, started_at AS "startedAt",
        person_id AS "personId"
      FROM run WHERE laboratory_id = $1 AND id IN (${places}) ORDER BY id`,
    [view.laboratoryId, ...runIds],
  )) as RunRow[];
  const subjects = grouped(
    (await manager.query(
      `SELECT id, laboratory_id AS "laboratoryId", seq, run_id AS "runId", subject_id AS "subjectId", role, control
        FROM run_subject WHERE laboratory_id = $1 AND run_id IN (${places}) ORDER BY id`,
      [view.laboratoryId, ...runIds],
    )) as RunSubjectRow[],
    ({ runId }) => runId,
    (subject) => subject,
  );
  const events = await eventsOfRuns(view, runIds, upToSeq);
  const loaded: LoadedRun[] = [];
  for (const run of runs) {
    const revision = await revisionOf(view, run.revisionId);
    loaded.push({ run, revision, subjects: subjects.get(run.id) ?? [], events: events.get(run.id) ?? [] });
  }
  return loaded;
}

async function eventsOfRuns(view: View, runIds: readonly string[], upToSeq: number): Promise<Map<string, RunEvent[]>> {
  const places = runIds.map((_, n) => `$${n + 3}`).join(', ');
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT run_id, id, seq, kind, data, stamp, person_id, received_at FROM run_event
      WHERE laboratory_id = $1 AND seq <= $2 AND run_id IN (${places})`,
    [view.laboratoryId, upToSeq, ...runIds],
  )) as (StoredEvent & { run_id: string })[];
  const found = grouped(
    rows,
    ({ run_id: runId }) => runId,
    (row) => eventOf(row.run_id, row),
  );
  // Faster here than in the database, which would carry every row along.
  for (const events of found.values()) events.sort((a, b) => a.seq - b.seq || (a.id < b.id ? -1 : 1));
  return found;
}

/** Adds an event to a run that the same unit has loaded. */
export async function addRunEvent(
  unit: Unit,
  { run, events }: LoadedRun,
  { kind, data, stamp }: Pick<RunEventRow, 'kind' | 'data' | 'stamp'>,
): Promise<RunEvent> {
  const { personId, at: receivedAt } = unit;
  const event = asEvent(await unit.insert(RunEventRow, { runId: run.id, kind, data, stamp, personId, receivedAt }));
  events.push(event);
  return event;
}

/** Kind and data were checked to belong together when the row was written. */
function asEvent({ id, runId, seq, kind, data, stamp, personId, receivedAt }: RunEventRow): RunEvent {
  return { id, runId, seq, kind, data, stamp, personId, receivedAt } as RunEvent;
}

/** A run as pages see it. */
export async function runView(view: View, { run, revision, subjects, events }: LoadedRun): Promise<RunView> {
  const details = await subjectsOf(
    view,
    subjects.map(({ subjectId }) => subjectId),
  );
  const names = await view.all(PersonRow, {
    id: In([...new Set([run.personId, ...events.map(({ personId }) => personId), ...eyesOf(events)])]),
  });
  return {
    id: run.id,
    station: run.station,
    purpose: run.purpose,
    startedAt: run.startedAt,
    personId: run.personId,
    revision: { id: revision.id, number: revision.number, content: revision.content },
    subjects: subjects.flatMap(({ id, subjectId, role, control }) => {
      const found = details.find((each) => each.id === subjectId);
      if (!found) return [];
      const { label, description, kind, takenAt, irreplaceable } = found;
      const shown = { label, description, kind, takenAt, irreplaceable };
      return [{ id, subjectId, role, ...(control === null ? {} : { control }), ...shown }];
    }),
    controls: await controlsOffered(view, revision.content, run.startedAt),
    events,
    containers: await containerFacts(view, trayContainers(events)),
    words: await spokenWords(view, events),
    people: Object.fromEntries(names.map(({ id, name }) => [id, name])),
  };
}

/** The runs that stand on the benches now, in the order in which they were started. */
export async function benchRunIds(view: View): Promise<string[]> {
  const rows = await view.all(BenchRunRow, {}, { order: { runId: 'ASC' } });
  return rows.map(({ runId }) => runId);
}

/** A run in a list. */
export interface RunSummary {
  id: string;
  station: string;
  purpose: RunPurpose;
  startedAt: Instant;
  title: string;
  revisionNumber: number;
  /** Whether it stands on a bench now. */
  onBench: boolean;
}

/** Runs, the newest first, those that started before the run `after` when it is given; `onBench` alone where it says so. */
export async function recentRuns(
  view: View,
  {
    take,
    after,
    find = '',
    onBench = false,
  }: { take?: number; after?: string | undefined; find?: string | undefined; onBench?: boolean },
): Promise<RunSummary[]> {
  const query = (await view.ready())
    .createQueryBuilder(RunRow, 'run')
    .innerJoinAndMapOne('run.revision', RevisionRow, 'revision', 'revision.id = run.revisionId')
    .leftJoinAndMapOne('run.bench', BenchRunRow, 'bench', 'bench.runId = run.id')
    .where('run.laboratoryId = :laboratoryId', { laboratoryId: view.laboratoryId })
    .orderBy('run.id', 'DESC')
    .take(take);
  if (onBench) query.andWhere('bench.runId IS NOT NULL');
  // Ids sort by the time at which they were made.
  if (after !== undefined) query.andWhere('run.id < :after', { after });
  if (find.trim() !== '') {
    const holds = (column: string): string => `LOWER(${column}) LIKE LOWER(:holding) ESCAPE '\\'`;
    query.andWhere(
      `(${holds('revision.title')} OR ${holds('run.station')} OR run.id IN
        (SELECT run_subject.run_id FROM run_subject JOIN subject ON subject.id = run_subject.subject_id
          WHERE subject.laboratory_id = :laboratoryId AND ${holds('subject.label')}))`,
      { holding: holding(find.trim()) },
    );
  }
  const found = (await query.getMany()) as (RunRow & { revision: RevisionRow; bench: BenchRunRow | null })[];
  return found.map(({ id, station, purpose, startedAt, revision, bench }) => ({
    id,
    station,
    purpose,
    startedAt,
    title: revision.title,
    revisionNumber: revision.number,
    onBench: bench !== null,
  }));
}

/** What the gate looks at, from the record up to a number. */
export async function runFacts(view: View, loaded: LoadedRun, judgedTo: number): Promise<RunFacts> {
  const [facts] = await factsOfRuns(view, [loaded], judgedTo);
  return facts as RunFacts;
}

/** What was said, by the ids that spoken answers carry. */
async function spokenWords(view: View, events: readonly RunEvent[]): Promise<Record<string, string>> {
  const ids = events.flatMap((event) => (event.kind === 'answered' ? [event.data.words] : []));
  return Object.fromEntries(await sealedValues(view, ids));
}
