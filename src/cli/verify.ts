import { existsSync } from 'node:fs';
import { SystemClock } from '../clock.js';
import { readConfig } from '../config.js';
import { RULES_VERSION } from '../core/gate/rules.js';
import { connect, type DatabaseAddress } from '../store/data-source.js';
import { laboratoryOf } from '../store/questions/laboratories.js';
import { laboratoryIds, type RecordFault, type VerifyCounts, verifyRecord } from '../store/questions/verify.js';
import { Store } from '../store/store.js';

/** Checks the record of every laboratory in a database, tells each fault with its place, and fails when there is one. */
export async function verify({ database }: { database?: string }): Promise<void> {
  const address = addressOf(database);
  if (address.kind === 'sqlite' && !existsSync(address.file)) {
    throw new Error(
      `There is no database at ${address.file}; name it with --database, or set DATA_DIR, and STAINWRIGHT_DEMO=on for the demo's.`,
    );
  }
  const store = new Store(await connect(address), new SystemClock());
  try {
    const faults = await reportRecord(store, (line) => process.stdout.write(`${line}\n`));
    if (faults > 0) process.exitCode = 1;
  } finally {
    await store.close();
  }
}

/** Tells line by line what the check of every laboratory's record finds; answers the number of faults. */
export async function reportRecord(store: Store, tell: (line: string) => void): Promise<number> {
  let all = 0;
  // Which laboratory the view is about does not matter to a question about all of them.
  const ids = await store.read('', laboratoryIds);
  if (ids.length === 0) tell('This database holds no laboratory and no record.');
  for (const id of ids) {
    await store.read(id, async (view) => {
      const { counts, faults } = verifyRecord(view);
      let own = 0;
      for await (const fault of faults) {
        own += 1;
        tell(placeAndMessage(fault));
      }
      const name = (await laboratoryOf(view))?.name ?? 'not set up';
      tell(`${id} (${name}): ${inWords(counts)}. ${own === 0 ? 'The record holds.' : `Faults: ${own}.`}`);
      tell(`  Last entry: ${counts.last.seq}, hash ${counts.last.hash}`);
      all += own;
    });
  }
  return all;
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

function addressOf(given: string | undefined): DatabaseAddress {
  if (given === undefined) return readConfig(process.env).database;
  return /^postgres(ql)?:\/\//.test(given) ? { kind: 'postgres', url: given } : { kind: 'sqlite', file: given };
}
