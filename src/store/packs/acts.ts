import { In, LessThan } from 'typeorm';
import { type PackActKind, type PackScope, type PackState, packState } from '../../core/pack/pack.js';
import { Refusal } from '../../core/refusal.js';
import { type Instant, plusMs } from '../../core/time/instant.js';
import { PackActRow, PackProgressRow, PackRow } from '../rows/packs.entity.js';
import type { Unit } from '../unit.js';
import type { View } from '../view.js';

/** Name of the job that makes a pack; its target is the pack. */
export const PACK_JOB = 'make-pack';

/** A worker that says nothing for so long is taken for dead. */
const SILENCE_MS = 15_000;

/** A pack, what became of it and how far it is. */
export interface KnownPack {
  row: PackRow;
  last: PackActRow | null;
  progress: PackProgressRow | null;
  state: PackState;
}

/** Notes that a pack is asked for and queues its making. */
export async function askPack(unit: Unit, scope: PackScope): Promise<PackRow> {
  const row = await unit.insert(PackRow, { at: unit.at, personId: unit.actor.personId, scope });
  const { from, to, identifiers, chain, only, shown } = scope;
  unit.about('pack', row.id, { from, to, identifiers, chain, only, shown });
  await unit.enqueue(PACK_JOB, row.id);
  return row;
}

/** Notes what became of a pack; once it is over, the next one that waits has its turn. */
export async function actOnPack(
  unit: Unit,
  packId: string,
  kind: PackActKind,
  said: { manifest?: string; bytes?: number; message?: string } = {},
): Promise<void> {
  await unit.insert(PackActRow, { packId, kind, at: unit.at, personId: unit.actor.personId, ...said });
  unit.about('pack', packId, { kind, ...said });
  if (kind === 'again') {
    await unit.enqueue(PACK_JOB, packId);
    return;
  }
  await unit.remove(PackProgressRow, { packId });
  const next = (await openPacks(unit)).find(({ id }) => id !== packId);
  if (next) await unit.enqueue(PACK_JOB, next.id);
}

/** Whether this worker may go on: nobody else is at the pack, an older one is not to be made first, and it is still wanted. */
export async function claimPack(
  unit: Unit,
  packId: string,
  worker: string,
): Promise<'mine' | 'over' | 'another-first' | { busyUntil: Instant }> {
  const open = await openPacks(unit);
  if (!open.some(({ id }) => id === packId)) return 'over';
  if (open[0]?.id !== packId) return 'another-first';
  const progress = await unit.one(PackProgressRow, { packId });
  if (progress && progress.worker !== worker && progress.until > unit.at) return { busyUntil: progress.until };
  const mine = { worker, until: plusMs(unit.at, SILENCE_MS) };
  if (progress) await unit.change(PackProgressRow, { packId }, mine);
  else await unit.add(PackProgressRow, { packId, part: '', done: 0, total: 0, ...mine });
  return 'mine';
}

/** Says how far a worker is; false when the pack is no longer wanted or another worker has it. */
export async function progressed(
  unit: Unit,
  packId: string,
  worker: string,
  far: Pick<PackProgressRow, 'part' | 'done' | 'total'>,
): Promise<boolean> {
  if (!isOpen(await lastAct(unit, packId))) return false;
  return (await unit.change(PackProgressRow, { packId, worker }, { ...far, until: plusMs(unit.at, SILENCE_MS) })) > 0;
}

/** Leaves a pack so that another worker may go on at once. */
export async function leavePack(unit: Unit, packId: string, worker: string): Promise<void> {
  await unit.change(PackProgressRow, { packId, worker }, { until: unit.at });
  await unit.enqueue(PACK_JOB, packId);
}

/** One pack; refuses when there is none. */
export async function needPack(view: View, id: string): Promise<KnownPack> {
  const [known] = await withState(view, [await view.need(PackRow, { id }, `pack ${id}`)]);
  return known as KnownPack;
}

/** Packs, the newest first; those that one person asked for when they are given. */
export async function packsBefore(
  view: View,
  { take, after, personId }: { take: number; after?: string | undefined; personId?: string },
): Promise<KnownPack[]> {
  const where = { ...(after !== undefined && { id: LessThan(after) }), ...(personId !== undefined && { personId }) };
  return withState(view, await view.all(PackRow, where, { order: { id: 'DESC' }, take }));
}

/** Refuses an act that does not fit where the pack stands. */
export function needState({ state, row }: KnownPack, fitting: readonly PackState[], what: string): void {
  if (fitting.includes(state)) return;
  throw new Refusal(
    'conflict',
    'pack-state',
    `The pack ${row.id} is ${state}; only one that is ${fitting.join(' or ')} ${what}.`,
  );
}

async function withState(view: View, rows: readonly PackRow[]): Promise<KnownPack[]> {
  const packId = In(rows.map(({ id }) => id));
  const acts = await view.all(PackActRow, { packId }, { order: { seq: 'ASC' } });
  const progress = await view.all(PackProgressRow, { packId }, { order: { packId: 'ASC' } });
  return rows.map((row) => {
    const last = acts.findLast((act) => act.packId === row.id) ?? null;
    const far = progress.find((each) => each.packId === row.id) ?? null;
    return { row, last, progress: far, state: packState(last?.kind ?? null, far !== null) };
  });
}

async function lastAct(view: View, packId: string): Promise<PackActKind | null> {
  const [last] = await view.all(PackActRow, { packId }, { order: { seq: 'DESC' }, take: 1 });
  return last?.kind ?? null;
}

function isOpen(last: PackActKind | null): boolean {
  return last === null || last === 'again';
}

/** Packs that are to be made, in the order in which they were asked for. */
async function openPacks(view: View): Promise<PackRow[]> {
  const manager = await view.ready();
  return manager
    .createQueryBuilder(PackRow, 'pack')
    .where('pack.laboratoryId = :laboratoryId', { laboratoryId: view.laboratoryId })
    .andWhere(
      `NOT EXISTS (SELECT 1 FROM pack_act act WHERE act.pack_id = pack.id AND act.kind <> 'again' AND NOT EXISTS
        (SELECT 1 FROM pack_act later WHERE later.pack_id = pack.id AND later.kind = 'again' AND later.seq > act.seq))`,
    )
    .orderBy('pack.seq')
    .getMany();
}
