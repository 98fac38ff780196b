import type { KeyObject } from 'node:crypto';
import { existsSync } from 'node:fs';
import { filesBeside, readConfig } from '../config.js';
import { RULES_VERSION } from '../core/gate/rules.js';
import { believed, type Checkpoint, type SignedCheckpoint } from '../core/record/checkpoint.js';
import { signedHere, signedIn } from '../store/checkpoints/checkpoints.js';
import { publicKeysHere, publicKeysOf } from '../store/checkpoints/keys.js';
import { FileFolder } from '../store/files/folder.js';
import { coverFaults } from '../store/questions/checkpoints.js';
import { fileFaults } from '../store/questions/files.js';
import { laboratoryOf } from '../store/questions/laboratories.js';
import { proveBalances } from '../store/questions/ledger.js';
import { laboratoryIds, type RecordFault, type VerifyCounts, verifyRecord } from '../store/questions/verify.js';
import type { Store } from '../store/store.js';
import type { View } from '../store/view.js';
import { withStore } from './open.js';

export interface VerifyOptions {
  database?: string;
  /** File of checkpoints that was kept elsewhere; without it, those that are kept here. */
  checkpoints?: string;
  /** Folder of the kept files; without it, the one beside the database. */
  files?: string;
  /** Files of the public keys that are trusted; without them, those that are kept here. */
  publicKey?: string[];
}

/** Signed checkpoints, and the keys that are trusted. */
interface Evidence {
  signed: SignedCheckpoint[];
  publicKeys: KeyObject[];
  /** Where the content of kept files lies; absent where only the record is asked. */
  files?: FileFolder;
}

/** Checks the record of every laboratory in a database, tells each fault with its place, and fails when there is one. */
export async function verify({ database, checkpoints, files, publicKey }: VerifyOptions): Promise<void> {
  const { checkpoints: places, filesDir } = readConfig(process.env);
  const folder = files ?? (database === undefined ? filesDir : (filesBeside(database) ?? filesDir));
  const publicKeys = publicKey ? publicKey.flatMap(publicKeysOf) : publicKeysHere(places);
  await withStore(database, async (store) => {
    const signed = checkpoints === undefined ? await allSigned(store) : keptIn(checkpoints);
    const faults = await reportRecord(store, { signed, publicKeys, files: new FileFolder(folder) }, (line) =>
      process.stdout.write(`${line}\n`),
    );
    if (faults > 0) process.exitCode = 1;
  });

  async function allSigned(store: Store): Promise<SignedCheckpoint[]> {
    const ids = await store.read('', laboratoryIds);
    const each = await Promise.all(ids.map((id) => store.read(id, (view) => signedHere(view, places))));
    return each.flat();
  }
}

function keptIn(file: string): SignedCheckpoint[] {
  if (!existsSync(file))
    throw new Error(`There is no file ${file}; name one that "stainwright checkpoint export" wrote.`);
  const signed = signedIn(file);
  if (signed.length === 0) throw new Error(`${file} is empty, so there is nothing to hold the record against.`);
  return signed;
}

/** Tells line by line what the check of every laboratory's record finds; answers the number of faults. */
export async function reportRecord(store: Store, evidence: Evidence, tell: (line: string) => void): Promise<number> {
  const { checkpoints, faults: all } = believed(evidence.signed, evidence.publicKeys);
  let count = all.length;
  for (const { place, checkpoint, message } of all) {
    const of = checkpoint ? ` (${checkpoint.laboratory}, record ${checkpoint.seq}, signed at ${checkpoint.at})` : '';
    tell(`checkpoint ${place}${of}: ${message}`);
  }
  // Which laboratory the view is about does not matter to a question about all of them.
  const here = await store.read('', laboratoryIds);
  const ids = new Set([...here, ...checkpoints.map(({ laboratory }) => laboratory)]);
  if (ids.size === 0) tell('This database holds no laboratory and no record.');
  for (const id of ids)
    count += await store.read(id, (view) => reportLaboratory(view, checkpoints, evidence.files, tell));
  return count;
}

async function reportLaboratory(
  view: View,
  checkpoints: readonly Checkpoint[],
  folder: FileFolder | undefined,
  tell: (line: string) => void,
): Promise<number> {
  const id = view.laboratoryId;
  const { counts, faults } = verifyRecord(view);
  let own = 0;
  for await (const fault of faults) {
    own += 1;
    tell(placeAndMessage(fault));
  }
  for (const { seq, message } of await coverFaults(view, checkpoints)) {
    own += 1;
    tell(`${id}, record ${seq}, checkpoint: ${message}`);
  }
  for (const { seq, message } of await proveBalances(view)) {
    own += 1;
    tell(`${id}, record ${seq}, ledger: ${message}`);
  }
  const kept = { files: 0 };
  if (folder) {
    for await (const { id: file, seq, message } of fileFaults(view, folder, kept)) {
      own += 1;
      tell(`${id}, record ${seq}, file ${file}: ${message}`);
    }
  }
  const name = (await laboratoryOf(view))?.name ?? 'not set up';
  tell(
    `${id} (${name}): ${inWords(counts)}${folder ? `, files ${kept.files}` : ''}. ${own === 0 ? 'The record holds.' : `Faults: ${own}.`}`,
  );
  tell(`  Last entry: ${counts.last.seq}, hash ${counts.last.hash}`);
  const last = checkpoints.findLast(({ laboratory }) => laboratory === id);
  tell(last ? `  Last checkpoint: entry ${last.seq}, signed at ${last.at} by the key ${last.key}` : '  No checkpoint.');
  return own;
}

function placeAndMessage({ laboratory, seq, table, id, message }: RecordFault): string {
  return `${laboratory}, record ${seq}, ${table}${id === null ? '' : ` ${id}`}: ${message}`;
}

function inWords({ entries, rows, removed, releases, otherRules }: VerifyCounts): string {
  const parts = [
    `entries ${entries}`,
    `rows ${rows}`,
    ...(removed > 0 ? [`of these removed by law ${removed}`] : []),
    `releases judged again by rules ${RULES_VERSION}: ${releases - otherRules}`,
    ...(otherRules > 0 ? [`judged by other rules and not judged again: ${otherRules}`] : []),
  ];
  return parts.join(', ');
}
