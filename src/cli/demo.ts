import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createApp } from '../app.js';
import { overHttp } from '../client.js';
import { HandClock } from '../clock.js';
import { readConfig } from '../config.js';
import { LABORATORY } from '../demo/laboratory.js';
import { SET_UP, Story, type Told } from '../demo/story.js';
import { SetupLinks } from '../modules/people/setup-links.js';
import { Store } from '../store/store.js';
import { reportRecord } from './verify.js';

const EXPECTED = ['control-failed', 'past-opened-life', 'step-long'];

/**
 * Plays the invented story through the whole program, over HTTP and with a clock that is moved by hand: a run that
 * clears, one that is held, and the check of the record that they left. Fails when any of it comes out otherwise.
 */
export async function demo({ keep }: { keep?: string }): Promise<void> {
  const folder = keep ?? (await mkdtemp(join(tmpdir(), 'stainwright-demo-')));
  const config = readConfig({ DATA_DIR: folder, PORT: '0', STAINWRIGHT_DEMO: 'on', LOG_LEVEL: 'warn' });
  const clock = new HandClock(Date.parse(SET_UP));
  const tell = (line: string): void => void process.stdout.write(`${line}\n`);
  try {
    const app = await createApp(config, { clock, log: process.stderr });
    try {
      await app.listen(0, config.host);
      const address = (await app.getUrl()).replace('[::1]', '127.0.0.1');
      const token = await app.get(SetupLinks).makeForFirstPerson();
      if (token === null) throw new Error(`${folder} holds a demo already; name an empty folder.`);
      tell(`${LABORATORY.name}. Nobody and nothing in it exists.`);
      tell(`Played at ${address}, by the time of ${LABORATORY.zone}.`);
      const { first, second } = await new Story(overHttp(address), clock, tell).play(token);
      tell('');
      tell(`Verdicts: the lymph node is ${inWords(first)}; the thyroid nodule is ${inWords(second)}.`);
      const faults = await reportRecord(app.get(Store), { signed: [], publicKeys: [] }, tell);
      if (keep !== undefined) tell(`Kept in ${folder}.`);
      checkOutcome(first, second, faults);
    } finally {
      await app.close();
    }
  } finally {
    if (keep === undefined) await rm(folder, { recursive: true, force: true });
  }
}

function inWords({ judgement, released }: Told): string {
  return `${judgement.verdict} and ${released ? 'released' : 'not released'}`;
}

function checkOutcome(first: Told, second: Told, faults: number): void {
  const rules = second.judgement.findings.map(({ rule }) => rule).sort();
  const asMeant =
    first.judgement.verdict === 'clear' &&
    first.judgement.findings.length === 0 &&
    first.released &&
    second.judgement.verdict === 'held' &&
    rules.join() === EXPECTED.join() &&
    !second.released &&
    faults === 0;
  if (!asMeant) throw new Error('The story did not come out as it should; see above.');
}
