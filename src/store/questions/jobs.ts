import { In, LessThanOrEqual, MoreThan, Not } from 'typeorm';
import type { Instant } from '../../core/time/instant.js';
import { JobRow } from '../rows/jobs.entity.js';
import type { Store } from '../store.js';
import type { View } from '../view.js';

// A job runner serves every laboratory of the database, so these look beyond the view of one.

/** Waiting jobs that are due by `now`, the longest due first, at most `take`. */
export function dueJobs(store: Store, now: Instant, take: number, except: readonly string[]): Promise<JobRow[]> {
  return store.connections.reader.manager.find(JobRow, {
    where: { state: 'waiting', dueAt: LessThanOrEqual(now), id: Not(In(except)) },
    order: { dueAt: 'ASC', id: 'ASC' },
    take,
  });
}

/** A job as its row says now, null when it is gone; by hand, since every job asks it. */
export async function jobNow(
  view: View,
  id: string,
): Promise<Pick<JobRow, 'name' | 'target' | 'state' | 'dueAt'> | null> {
  const rows = (await (
    await view.ready()
  ).query('SELECT name, target, state, due_at AS "dueAt" FROM job WHERE id = $1 AND laboratory_id = $2', [
    id,
    view.laboratoryId,
  ])) as Pick<JobRow, 'name' | 'target' | 'state' | 'dueAt'>[];
  return rows[0] ?? null;
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
