import { mkdirSync, readdirSync } from 'node:fs';
import { v7 as newId } from 'uuid';
import { SystemClock } from '../clock.js';
import { filesBeside, readConfig } from '../config.js';
import type { ChainChoice, IdentifierChoice } from '../core/pack/choices.js';
import { checkPeriod, type PackScope } from '../core/pack/pack.js';
import { endOfDay, instantOfLocal } from '../core/time/zone.js';
import { Outlet } from '../packs/outlet.js';
import { writePack } from '../packs/write-pack.js';
import { actOnPack } from '../store/packs/acts.js';
import { needSpan } from '../store/packs/plan.js';
import { laboratoriesHere } from '../store/questions/laboratories.js';
import { PackRow } from '../store/rows/packs.entity.js';
import type { Store } from '../store/store.js';
import { withStore } from './open.js';

export interface PackOptions {
  database?: string;
  out: string;
  from: string;
  to: string;
  identifiers: IdentifierChoice;
  chain: ChainChoice;
  protocol?: string[];
  person?: string[];
  lot?: string[];
  run?: string[];
  show?: string[];
}

/** Writes an evidence pack as a folder, and notes in the record that it was made. */
export async function pack(options: PackOptions): Promise<void> {
  const { checkpoints, filesDir, laboratoryId: own } = readConfig(process.env);
  const { database, out } = options;
  mkdirSync(out, { recursive: true });
  if (readdirSync(out).length > 0) throw new Error(`${out} is not empty; name an empty folder, or one to be made.`);
  const clock = new SystemClock();
  await withStore(database, async (store) => {
    const { id: laboratoryId, zone } = await laboratoryIn(store, own);
    const scope = scopeOf(options, zone, clock.now());
    await store.read(laboratoryId, (view) => needSpan(view, scope));
    const row: PackRow = { id: newId(), laboratoryId, seq: 0, at: clock.now(), personId: null, scope };
    const manifest = await writePack({
      store,
      laboratoryId,
      pack: row,
      outlet: Outlet.plain(out),
      checkpoints,
      filesDir: database === undefined ? filesDir : (filesBeside(database) ?? filesDir),
      now: () => clock.now(),
      told: () => Promise.resolve(),
    });
    const program = { laboratoryId, personId: null, deviceId: null };
    await store.change(program, 'pack.made', async (unit) => {
      await unit.insert(PackRow, { id: row.id, at: row.at, personId: null, scope });
      await actOnPack(unit, row.id, 'made', { manifest });
    });
    process.stdout.write(`${out}: evidence pack ${row.id}, manifest SHA-256 ${manifest}\n`);
  });
}

/** The laboratory that the environment names, or else the only one there is. */
async function laboratoryIn(store: Store, own: string): Promise<{ id: string; zone: string }> {
  const here = await store.read('', laboratoriesHere);
  const found = here.find(({ id }) => id === own) ?? (here.length === 1 ? here[0] : undefined);
  if (found) return found;
  throw new Error(
    `This database holds no laboratory ${own}; say with LABORATORY_ID which of ${here.map(({ id }) => id).join(', ')}.`,
  );
}

function scopeOf({ from, to, identifiers, chain, ...rest }: PackOptions, zone: string, now: string): PackScope {
  checkPeriod(from, to, zone, now);
  const { protocol: protocols = [], person: people = [], lot: lots = [], run: runs = [], show: shown = [] } = rest;
  const since = instantOfLocal(`${from}T00:00`, zone);
  const until = endOfDay(to, zone);
  return { from, to, since, until, identifiers, chain, only: { protocols, people, lots, runs }, shown };
}
