import { In, LessThanOrEqual, MoreThan, Not } from 'typeorm';
import type { Instant } from '../../core/time/instant.js';
import { JobRow } from '../rows/jobs.entity.js';
import { placesOf } from '../sqlite-script.js';
import type { Store } from '../store.js';

// A job runner serves every laboratory of the database, so these look beyond the view of one.

/** Waiting jobs that are due by `now`, the longest due first, at most `take`; of these names only, or of all others. */
export function dueJobs(
  store: Store,
  now: Instant,
  take: number,
  { names, among, except }: { names: readonly string[]; among: boolean; except: readonly string[] },
): Promise<JobRow[]> {
  return store.connections.reader.manager.find(JobRow, {
    where: {
      state: 'waiting',
      dueAt: LessThanOrEqual(now),
      name: among ? In(names) : Not(In(names)),
      id: Not(In(except)),
    },
    order: { dueAt: 'ASC', id: 'ASC' },
    take,
  });
}

export type JobNow = Pick<JobRow, 'id' | 'name' | 'target' | 'state' | 'dueAt'>;

/** Jobs as their rows say now, by id; those that are gone are not there. By hand, since every job asks it. */
export async function jobsNow(store: Store, ids: readonly string[]): Promise<Map<string, JobNow>> {
  const { reader } = store.connections;
  const values: unknown[] = [];
  const rows = (await reader.query(
    `SELECT id, name, target, state, due_at AS "dueAt" FROM job WHERE id IN (${placesOf(reader, ids, values)})`,
    values,
  )) as JobNow[];
  return new Map(rows.map((row) => [row.id, row]));
}

/** When the next waiting job falls due after `now`; null when none does. */
export async function nextDue(store: Store, now: Instant): Promise<Instant | null> {
  const next = await store.connections.reader.manager.findOne(JobRow, {
    where: { state: 'waiting', dueAt: MoreThan(now) },
    order: { dueAt: 'ASC' },
  });
  return next?.dueAt ?? null;
}

export type WaitingJob = JobNow & Pick<JobRow, 'laboratoryId'>;

/** Waiting jobs, the earliest due first, at most `take`; those after `last` in that order. By hand: it is asked for every job. */
export async function waitingJobs(store: Store, take: number, last?: WaitingJob): Promise<WaitingJob[]> {
  const after = last ? 'AND (due_at > $2 OR (due_at = $2 AND id > $3))' : '';
  return (await store.connections.reader.query(
    `SELECT id, laboratory_id AS "laboratoryId", name, target, state, due_at AS "dueAt" FROM job WHERE state = $1 ${after}
      ORDER BY due_at, id LIMIT ${take}`,
    ['waiting', ...(last ? [last.dueAt, last.id] : [])],
  )) as WaitingJob[];
}

/** Ids of the laboratories with jobs that a queue holds. */
export async function laboratoriesWithHandedJobs(store: Store): Promise<string[]> {
  const rows = await store.connections.reader.manager
    .createQueryBuilder(JobRow, 'job')
    .select('job.laboratoryId', 'laboratoryId')
    .distinct()
    .where('job.state = :state', { state: 'handed' })
    .getRawMany<{ laboratoryId: string }>();
  return rows.map(({ laboratoryId }) => laboratoryId);
}
