import { In, LessThanOrEqual, MoreThan, Not } from 'typeorm';
import type { Instant } from '../../core/time/instant.js';
import { JobRow } from '../rows/jobs.entity.js';
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
  const places = ids.map((_, n) => `$${n + 1}`).join(', ');
  const rows = (await store.connections.reader.query(
    `SELECT id, name, target, state, due_at AS "dueAt" FROM job WHERE id IN (${places})`,
    [...ids],
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

/** Waiting jobs, the earliest due first, at most `take`. */
export function waitingJobs(store: Store, take: number): Promise<JobRow[]> {
  return store.connections.reader.manager.find(JobRow, {
    where: { state: 'waiting' },
    order: { dueAt: 'ASC', id: 'ASC' },
    take,
  });
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
