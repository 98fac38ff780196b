import { isKept } from '../questions/files.js';
import type { Store } from '../store.js';
import { FileFolder } from './folder.js';

const DAY_MS = 86_400_000;

/** Whoever brings back an older database has so long to bring back a newer one before its files are gone. */
const ORPHANS_STAY_MS = 30 * DAY_MS;

/** Removes uploads that broke off and, after a month, files that no row names. `nowMs` is by the clock of the file system. */
export async function sweepFiles(store: Store, filesDir: string, nowMs: number): Promise<void> {
  const folder = new FileFolder(filesDir);
  await folder.removeUnfinished(nowMs - DAY_MS);
  for await (const sha256 of folder.before(nowMs - ORPHANS_STAY_MS)) {
    if (!(await store.read('', (view) => isKept(view, sha256)))) await folder.remove(sha256);
  }
}
