import { spawn } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from '@jest/globals';
import { HandClock } from '../../src/clock.js';
import { stagingPath, zipPath } from '../../src/packs/folder.js';
import { connect } from '../../src/store/data-source.js';
import { askPack, needPack } from '../../src/store/packs/acts.js';
import { addLaboratory } from '../../src/store/questions/laboratories.js';
import { SubjectRow } from '../../src/store/rows/specimens.entity.js';
import { Store } from '../../src/store/store.js';
import { LABORATORY, START } from '../support/app.js';
import { describeOnEachDatabase, type FreshDatabase } from '../support/databases.js';
import { makeHere, verifyPack } from '../support/packs.js';
import { until } from '../support/until.js';

const ROWS = 8_000;
const AT_A_TIME = 500;

/** Makes a pack as a process of its own does; compiled, as it runs. It stands still once the first three parts are done. */
const CHILD = `
const [database, folder, pack, laboratoryId, done] = process.argv.slice(1);
const { existsSync, readFileSync } = await import('node:fs');
const { connect } = await import('./dist/store/data-source.js');
const { Store } = await import('./dist/store/store.js');
const { HandClock } = await import('./dist/clock.js');
const { makePack } = await import('./dist/jobs/make-pack.js');
const clock = new HandClock(Date.parse('${START}'));
const store = new Store(await connect(JSON.parse(database)), clock);
const keys = folder + '/keys';
const checkpoints = { keyFile: keys + '/checkpoint.pem', publicKeys: keys + '/public', folder: folder + '/checkpoints' };
const stopping = () => {
  const parts = existsSync(done) ? readFileSync(done, 'utf8').trim().split('\\n').length : 0;
  if (parts >= 3) Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0);
  return false;
};
await makePack(pack, { store, clock, checkpoints, filesDir: folder, mail: null, laboratoryId, stopping });
`;

describeOnEachDatabase('A worker that is killed while it makes a pack', (fresh) => {
  let database: FreshDatabase;
  let folder: string;
  let store: Store;
  let clock: HandClock;

  beforeEach(async () => {
    database = await fresh();
    folder = await mkdtemp(join(tmpdir(), 'stainwright-make-pack-'));
    clock = new HandClock(Date.parse(START));
    store = new Store(await connect(database.address), clock);
    await store.housekeep(LABORATORY, (unit) =>
      addLaboratory(unit, { name: 'Saltmarrow Hospital', zone: 'Atlantic/Azores', demo: false, driftPpm: 100 }),
    );
    for (let n = 0; n < ROWS; n += AT_A_TIME) await register(n);
  });

  afterEach(async () => {
    await store.close();
    await database.drop();
    await rm(folder, { recursive: true, force: true });
  });

  const register = (from: number): Promise<void> =>
    store.change({ laboratoryId: LABORATORY, personId: null, deviceId: null }, 'subjects.registered', async (unit) => {
      for (let n = from; n < from + AT_A_TIME; n += 1) {
        const about = { kind: 'slide' as const, description: 'slide', irreplaceable: false };
        const { id } = await unit.insert(SubjectRow, { ...about, label: `SW1:L:QY-${n}` });
        await unit.seal(id, 'patient number', `Q-${n}`);
      }
      unit.about('laboratory', LABORATORY);
    });
  const doneFile = (id: string): string => join(stagingPath(folder, id), 'done.jsonl');
  const parts = (id: string): string[] =>
    existsSync(doneFile(id)) ? readFileSync(doneFile(id), 'utf8').trim().split('\n') : [];

  it('is followed by one that goes on, and the pack verifies', async () => {
    const only = { protocols: [], people: [], lots: [], runs: [] };
    const days = { from: '2026-11-25', to: '2026-11-25' };
    const bounds = { since: '2026-11-25T01:00:00.000Z', until: '2026-11-26T01:00:00.000Z' };
    const { id } = await store.change(
      { laboratoryId: LABORATORY, personId: null, deviceId: null },
      'pack.asked',
      (unit) => askPack(unit, { ...days, ...bounds, identifiers: 'masked', chain: 'whole', only, shown: [] }),
    );
    const args = [JSON.stringify(database.address), folder, id, LABORATORY, doneFile(id)];
    const child = spawn(process.execPath, ['--input-type=module', '-e', CHILD, ...args], {
      stdio: ['ignore', 'ignore', 'pipe'],
    });
    const ended = new Promise<string | null>((resolve) => child.once('exit', (_code, signal) => resolve(signal)));
    let said = '';
    child.stderr.on('data', (text: Buffer) => (said += text.toString()));
    // The plan, the rows, and not yet all of the rest.
    await until('three parts are done', () => parts(id).length >= 3 || child.exitCode !== null);
    child.kill('SIGKILL');
    expect([await ended, said]).toEqual(['SIGKILL', '']);
    const before = parts(id);
    expect(await store.read(LABORATORY, (view) => needPack(view, id))).toMatchObject({ state: 'working' });

    const again = { store, clock };
    await makeHere(again, folder, id);
    expect(await store.read(LABORATORY, (view) => needPack(view, id))).toMatchObject({ state: 'working' });
    clock.forward(60_000);
    await makeHere(again, folder, id, {
      stopping: () => (expect(parts(id).slice(0, before.length)).toEqual(before), false),
    });
    expect(await store.read(LABORATORY, (view) => needPack(view, id))).toMatchObject({ state: 'made' });
    expect(await verifyPack(zipPath(folder, id))).toEqual({
      code: 0,
      out: expect.stringContaining(
        `${ROWS + 1} rows as recorded, 0 protocols and pictures, ${ROWS} sealed values masked`,
      ),
    });
  });
});
