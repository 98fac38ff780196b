import { randomUUID } from 'node:crypto';
import { mkdir, rm } from 'node:fs/promises';
import { stagingPath, zipPath, packsIn } from '../packs/folder.js';
import { Outlet } from '../packs/outlet.js';
import { writePack } from '../packs/write-pack.js';
import { zipOf } from '../packs/zip.js';
import { actOnPack, claimPack, leavePack, PACK_JOB, progressed } from '../store/packs/acts.js';
import { PackRow } from '../store/rows/packs.entity.js';
import type { Handler, HandlerContext } from './runner.js';

/** How often a worker says how far it is. */
const SAY_EVERY_MS = 1_000;

/** The pack is no longer wanted, or another worker is at it. */
class NotMine extends Error {}

/** The program ends; another process goes on. */
class Stopping extends Error {}

/**
 * Makes a pack, one at a time in a laboratory: who waits is called by whoever ends. Parts that were done before an
 * interruption are kept. A pack that cannot be made says why, and waits for a person to ask again.
 */
export const makePack: Handler = async (packId, context) => {
  const { store, laboratoryId, filesDir } = context;
  const worker = randomUUID();
  const claim = await store.housekeep(laboratoryId, async (unit) => {
    const claimed = await claimPack(unit, packId, worker);
    // Whoever was at it may have died.
    if (typeof claimed === 'object') await unit.enqueue(PACK_JOB, packId, claimed.busyUntil);
    return claimed;
  });
  if (claim === 'over') await clear(filesDir, packId);
  if (claim !== 'mine') return;
  try {
    await make(packId, worker, context);
  } catch (error) {
    if (error instanceof Stopping) {
      await store.housekeep(laboratoryId, (unit) => leavePack(unit, packId, worker));
      return;
    }
    if (error instanceof NotMine) {
      const still = await store.housekeep(laboratoryId, (unit) => claimPack(unit, packId, worker));
      if (still === 'over') await clear(filesDir, packId);
      return;
    }
    // Room on the disk comes first: what failed for want of it may be what is to be written next.
    if (isFull(error)) await clear(filesDir, packId);
    const message = sentenceOf(error);
    await store.change(programOf(laboratoryId), 'pack.failed', async (unit) => {
      await actOnPack(unit, packId, 'failed', { message });
      await unit.tell(`${PACK_JOB}:${packId}:${unit.seq}`, message, null, { path: '/record/packs' });
    });
  }
};

async function make(packId: string, worker: string, context: HandlerContext): Promise<void> {
  const { store, clock, laboratoryId, filesDir, checkpoints, stopping } = context;
  const pack = await store.read(laboratoryId, (view) => view.need(PackRow, { id: packId }, `pack ${packId}`));
  await mkdir(packsIn(filesDir), { recursive: true });
  let said = -Infinity;
  const told = async (part: string, done: number, total: number): Promise<void> => {
    if (stopping?.()) throw new Stopping();
    if (performance.now() - said < SAY_EVERY_MS) return;
    said = performance.now();
    const far = { part, done, total };
    if (!(await store.housekeep(laboratoryId, (unit) => progressed(unit, packId, worker, far)))) throw new NotMine();
  };
  const outlet = await Outlet.staged(stagingPath(filesDir, packId));
  const now = () => clock.now();
  const manifest = await writePack({ store, laboratoryId, pack, outlet, checkpoints, filesDir, now, told });
  const zip = zipPath(filesDir, packId);
  const bytes = await zipOf(outlet.files, zip, clock.now());
  const made = await store.change(programOf(laboratoryId), 'pack.made', async (unit) => {
    if ((await claimPack(unit, packId, worker)) !== 'mine') return false;
    await actOnPack(unit, packId, 'made', { manifest, bytes });
    return true;
  });
  if (!made) await rm(zip, { force: true });
  await rm(stagingPath(filesDir, packId), { recursive: true, force: true });
}

/** Nothing of a pack stays on the disk. */
async function clear(filesDir: string, packId: string): Promise<void> {
  await rm(stagingPath(filesDir, packId), { recursive: true, force: true });
  await rm(zipPath(filesDir, packId), { force: true });
}

function programOf(laboratoryId: string): { laboratoryId: string; personId: null; deviceId: null } {
  return { laboratoryId, personId: null, deviceId: null };
}

/** ENOSPC and EDQUOT: no room on the disk or for this account; EFBIG: a file larger than may be. */
const FULL = ['ENOSPC', 'EDQUOT', 'EFBIG'];

function isFull(error: unknown): boolean {
  return FULL.includes((error as NodeJS.ErrnoException).code ?? '');
}

function sentenceOf(error: unknown): string {
  if (isFull(error)) {
    return 'The disk has no room for the evidence pack, so nothing of it was kept. Make room in the data folder, or ask for a shorter period, and make it again.';
  }
  const { message } = error as Error;
  return `The evidence pack could not be made: ${message.replace(/\.$/, '')}. Nothing is offered; once that is mended, make it again.`;
}
