import { createWriteStream, mkdirSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pipeline } from 'node:stream/promises';
import { readConfig } from '../config.js';
import { canonicalText } from '../core/record/record.js';
import { lineOf } from '../store/checkpoints/checkpoints.js';
import { publicKeysHere } from '../store/checkpoints/keys.js';
import { checkpointsAfter } from '../store/questions/checkpoints.js';
import { BEFORE_ALL, entriesAfter } from '../store/questions/entries.js';
import { laboratoryIds } from '../store/questions/verify.js';
import type { Store } from '../store/store.js';
import type { View } from '../store/view.js';
import { pemOfAll } from './checkpoint.js';
import { withStore } from './open.js';

const PAGE = 1000;

/** Writes each laboratory's entries and checkpoints, one a line, and the public keys, into an empty folder. */
export async function recordExport({ database, to }: { database?: string; to: string }): Promise<void> {
  mkdirSync(to, { recursive: true });
  if (readdirSync(to).length > 0) throw new Error(`${to} is not empty; name an empty folder, or one to be made.`);
  const publicKeys = publicKeysHere(readConfig(process.env).checkpoints);
  await withStore(database, (store) => exportEntries(store, to));
  writeFileSync(join(to, 'public-keys.pem'), pemOfAll(publicKeys));
}

/** Writes each laboratory's entries and checkpoints into a folder that is there. */
export async function exportEntries(store: Store, to: string): Promise<void> {
  for (const id of await store.read('', laboratoryIds)) await store.read(id, (view) => exportLaboratory(view, to));
}

async function exportLaboratory(view: View, to: string): Promise<void> {
  const name = join(to, encodeURIComponent(view.laboratoryId));
  // A checkpoint never covers an entry that was committed after it.
  const checkpoints = await checkpointsAfter(view, 0);
  await pipeline(entryLines(view), createWriteStream(`${name}.entries.jsonl`));
  writeFileSync(`${name}.checkpoints.jsonl`, checkpoints.map(lineOf).join(''));
}

async function* entryLines(view: View): AsyncGenerator<string> {
  for (let after = BEFORE_ALL; ;) {
    const page = await entriesAfter(view, after, PAGE);
    const last = page.at(-1);
    if (!last) return;
    after = last.seq;
    yield page.map(({ seq, body, hash }) => `${canonicalText({ seq, body, hash })}\n`).join('');
  }
}
