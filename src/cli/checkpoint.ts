import { createPublicKey, type KeyObject } from 'node:crypto';
import { writeFileSync } from 'node:fs';
import { readConfig } from '../config.js';
import { keyId, pemOf } from '../core/record/checkpoint.js';
import { lineOf, rotateKey, writeCheckpoint } from '../store/checkpoints/checkpoints.js';
import { publicKeysHere, signingKey } from '../store/checkpoints/keys.js';
import { checkpointsAfter } from '../store/questions/checkpoints.js';
import { laboratoriesHere } from '../store/questions/laboratories.js';
import type { Store } from '../store/store.js';
import { withStore } from './open.js';

interface Options {
  database?: string;
}

/** Where something is written; standard output without a file. */
interface To {
  to?: string;
}

/** Signs now how far each laboratory's record goes. */
export async function checkpoint({ database }: Options): Promise<void> {
  const places = readConfig(process.env).checkpoints;
  await withStore(database, async (store) => {
    for (const { id } of await store.read('', laboratoriesHere)) {
      const written = await writeCheckpoint(store, places, id);
      tell(
        written
          ? `${id}: signed up to entry ${written.seq} at ${written.at} by the key ${written.keyId}`
          : `${id}: nothing was added since the last checkpoint`,
      );
    }
    tell(`The checkpoints are in ${places.folder}; keep a copy where nobody who can write to the database can write.`);
  });
}

export async function rotate({ database }: Options): Promise<void> {
  const places = readConfig(process.env).checkpoints;
  const { from, to } = await withStore(database, (store) => rotateKey(store, places));
  tell(`The key ${from} handed over to ${to} and is gone from ${places.keyFile}.`);
}

/** Writes every checkpoint of the database, one a line. */
export async function exportCheckpoints({ database, to }: Options & To): Promise<void> {
  await withStore(database, async (store) => put(await allLines(store), to));
}

/** Writes the public keys of this installation, those of the past included. */
export function exportKeys({ to }: To): void {
  const places = readConfig(process.env).checkpoints;
  // Made at first use, so that whoever asks for the key before the first checkpoint gets it.
  const own = createPublicKey(signingKey(places));
  put(pemOfAll([own, ...publicKeysHere(places).filter((key) => keyId(key) !== keyId(own))]), to);
}

export function pemOfAll(publicKeys: readonly KeyObject[]): string {
  return publicKeys.map(pemOf).join('');
}

async function allLines(store: Store): Promise<string> {
  const laboratories = await store.read('', laboratoriesHere);
  const each = await Promise.all(laboratories.map(({ id }) => store.read(id, (view) => checkpointsAfter(view, 0))));
  return each.flat().map(lineOf).join('');
}

function put(text: string, to: string | undefined): void {
  if (to === undefined) process.stdout.write(text);
  else writeFileSync(to, text);
}

function tell(line: string): void {
  process.stdout.write(`${line}\n`);
}
