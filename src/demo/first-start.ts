import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import { inProcess } from '../client.js';
import { Config } from '../config.js';
import { FURNISHED } from '../core/guide/tasks.js';
import type { Instant } from '../core/time/instant.js';
import { StartError } from '../open-store.js';
import { RunRow } from '../store/rows/runs.entity.js';
import { Store } from '../store/store.js';
import { setUpBenches } from './benches.js';
import { furnishControlResults } from './control-results.js';
import { LABORATORY, PASSWORD, PEOPLE } from './laboratory.js';
import { furnishDeviations } from './deviations.js';
import { furnishOrders } from './orders.js';
import { furnishRecall } from './recall.js';
import { setUpLaboratory, signIn } from './set-up.js';
import { playYesterday, setUpBeforeMs, type SetBackClock } from './yesterday.js';

/**
 * Sets the invented laboratory up when nobody is there yet, before the program listens; else leaves it as it is.
 * `token` is the one-time set-up token, null once there is a person.
 */
export async function prepareDemo(
  app: NestFastifyApplication,
  clock: SetBackClock,
  token: string | null,
): Promise<void> {
  if (token !== null) {
    const send = inProcess(app);
    clock.setBack(setUpBeforeMs(clock.now(), LABORATORY.zone));
    const laboratory = await setUpLaboratory(send, token, clock.now());
    await playYesterday(send, laboratory, clock);
    const now = clock.now();
    await stockOrders(app, now);
    await furnishControlResults(send, laboratory, now);
    await furnishRecall(send, laboratory, now);
    await furnishDeviations(send, now);
    await setUpBenches(send, laboratory, now);
    await handToItsPeople(app);
    return;
  }
  const { laboratoryId, database } = app.get(Config);
  const runs = await app.get(Store).read(laboratoryId, (view) => view.count(RunRow, { purpose: 'patients' }));
  // The set-up ends with runs for patients, and nobody can take one away.
  if (runs > 0) return;
  const where = database.kind === 'sqlite' ? database.file : new URL(database.url).pathname.slice(1);
  throw new StartError(`The demo's set-up was interrupted; remove its database ${where} and start again.`);
}

/** Marks where the set-up ends: what comes after it in the name of these people, whoever sits there does. */
async function handToItsPeople(app: NestFastifyApplication): Promise<void> {
  const { laboratoryId } = app.get(Config);
  await app.get(Store).change({ laboratoryId, personId: null, deviceId: null }, FURNISHED, (unit) => {
    unit.about('laboratory', laboratoryId);
    return Promise.resolve();
  });
}

/** What is bought and how it was used, by the people who buy. */
async function stockOrders(app: NestFastifyApplication, now: Instant): Promise<void> {
  const send = inProcess(app);
  const people = { manager: await signIn(send, 'manager'), director: await signIn(send, 'director') };
  await furnishOrders(app.get(Store), people, { laboratoryId: app.get(Config).laboratoryId, now });
  await people.manager.signOut();
  await people.director.signOut();
}

/** How to sign in, for whoever started the demo. */
export function signInsInWords(): string[] {
  const people = Object.values(PEOPLE);
  return [
    `Sign in as one of these invented people, each with the password "${PASSWORD}":`,
    ...people.map(({ login, name, roles }) => `  ${login.padEnd(10)}${name}, ${roles.join(' and ')}`),
  ];
}
