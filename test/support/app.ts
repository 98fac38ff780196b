import type { AddressInfo } from 'node:net';
import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import { hash } from '@node-rs/argon2';
import type { DestinationStream } from 'pino';
import { createApp } from '../../src/app.js';
import { HandClock, SystemClock } from '../../src/clock.js';
import type { Config } from '../../src/config.js';
import type { Role } from '../../src/core/people/roles.js';
import { addPerson } from '../../src/modules/people/accounts.js';
import { connect, disconnect } from '../../src/store/data-source.js';
import { addLaboratory, laboratoryOf } from '../../src/store/questions/laboratories.js';
import { ReviewGrantRow } from '../../src/store/rows/review.entity.js';
import { Store } from '../../src/store/store.js';
import type { Actor } from '../../src/store/unit.js';
import type { FreshDatabase } from './databases.js';
import { join } from 'node:path';
import { placesIn } from './checkpoints.js';

export const LABORATORY = 'outer-quill';
export const START = '2026-11-25T09:00:00.000Z';
/** Every person of the tests has it. */
export const PASSWORD = 'heather kelp lantern';

/** An answer with its body read: as JSON when it is JSON, as text otherwise. */
export interface Answer<T = never> {
  status: number;
  headers: Headers;
  body: T;
}

/** What a client may add to a request. */
export interface Extra {
  headers?: Record<string, string>;
}

/** Someone who asks the program over HTTP. */
export class Client {
  constructor(
    readonly url: string,
    readonly headers: Record<string, string> = {},
  ) {}

  get<T = never>(path: string, extra?: Extra): Promise<Answer<T>> {
    return this.send<T>('GET', path, undefined, extra);
  }

  /** Sends an `Idempotency-Key` only when `extra` names one. */
  post<T = never>(path: string, body?: unknown, extra?: Extra): Promise<Answer<T>> {
    return this.send<T>('POST', path, body, extra);
  }

  patch<T = never>(path: string, body?: unknown, extra?: Extra): Promise<Answer<T>> {
    return this.send<T>('PATCH', path, body, extra);
  }

  delete<T = never>(path: string, extra?: Extra): Promise<Answer<T>> {
    return this.send<T>('DELETE', path, undefined, extra);
  }

  /** `body` goes as JSON; text goes as it is, still named JSON. */
  async send<T = never>(
    method: string,
    path: string,
    body?: unknown,
    { headers = {} }: Extra = {},
  ): Promise<Answer<T>> {
    const answer = await fetch(`${this.url}${path}`, {
      method,
      headers: { ...(body === undefined ? {} : { 'content-type': 'application/json' }), ...this.headers, ...headers },
      ...(body === undefined ? {} : { body: typeof body === 'string' ? body : JSON.stringify(body) }),
    });
    const text = await answer.text();
    const json = /json/.test(answer.headers.get('content-type') ?? '');
    return { status: answer.status, headers: answer.headers, body: (json ? JSON.parse(text) : text) as T };
  }
}

/** A running program with a clock that is moved by hand. */
export interface TestApp {
  url: string;
  app: NestFastifyApplication;
  store: Store;
  clock: HandClock;
  /** Someone who is not signed in. */
  nobody: Client;
  /** Adds a person to the laboratory; the password is `PASSWORD`. Answers the id. */
  createPerson: (login: string, roles: Role[], name?: string) => Promise<string>;
  /** Signs in and answers a client with the session's cookie and CSRF token. */
  signIn: (login: string, password?: string) => Promise<Client>;
  /** Adds the person and signs in. */
  as: (...roles: Role[]) => Promise<Client>;
  stop: () => Promise<void>;
}

export interface Options {
  config?: Partial<Config>;
  log?: DestinationStream;
  /** The real clock instead of the hand-moved one, which then stands still. */
  realClock?: true;
  /** False leaves the laboratory to be set up. */
  laboratory?: boolean;
}

/** Argon2 at its least cost: what a hash costs is tested where passwords are. */
const cheaply = { memoryCost: 8, timeCost: 1, parallelism: 1 };
const passwordHash = hash(PASSWORD, cheaply);

export function configFor({ address }: FreshDatabase, changes: Partial<Config> = {}): Config {
  const dataDir = address.kind === 'sqlite' ? address.file.replace(/[^/]*$/, '') : '/nonexistent';
  return {
    host: '127.0.0.1',
    port: 0,
    dataDir,
    database: address,
    queueUrl: null,
    publicUrl: null,
    tls: null,
    checkpoints: placesIn(dataDir),
    demo: false,
    logLevel: 'silent',
    laboratoryId: LABORATORY,
    bodyLimit: 1024 * 1024,
    filesDir: join(dataDir, 'files'),
    fileLimit: 1024 * 1024,
    mail: null,
    ...changes,
  };
}

/** Starts the whole program on a free port of the loopback, on a fresh database with a laboratory in it. */
export async function startApp(database: FreshDatabase, options: Options = {}): Promise<TestApp> {
  const { config: changes = {}, log, laboratory = true, realClock = false } = options;
  const config = configFor(database, changes);
  const clock = new HandClock(Date.parse(START));
  if (laboratory) await addTestLaboratory(config, clock);
  const app = await createApp(config, { clock: realClock ? new SystemClock() : clock, ...(log ? { log } : {}) });
  await app.listen(config.port, config.host);
  const { port } = app.getHttpServer().address() as AddressInfo;
  const url = `${config.tls === null ? 'http' : 'https'}://127.0.0.1:${port}`;
  const store = app.get(Store);
  const nobody = new Client(url);
  const program = { laboratoryId: config.laboratoryId, personId: null, deviceId: null };

  const createPerson = async (login: string, roles: Role[], name = `Invented ${login}`): Promise<string> => {
    const made = await passwordHash;
    return store.change(program, 'person.added', async (unit) => {
      const id = await addPerson(unit, { name, login, roles, passwordHash: made });
      unit.about('person', id, { login, roles });
      return id;
    });
  };
  const signIn = async (login: string, password = PASSWORD): Promise<Client> => {
    const { status, headers, body } = await nobody.post<{ csrf: string }>('/api/session', { login, password });
    if (status !== 200) throw new Error(`sign-in answered ${status}: ${JSON.stringify(body)}`);
    const cookie = headers.getSetCookie()[0]?.split(';', 1)[0] ?? '';
    return new Client(url, { cookie, 'x-csrf-token': body.csrf });
  };
  let people = 0;
  return {
    url,
    app,
    store,
    clock,
    nobody,
    createPerson,
    signIn,
    as: async (...roles) => {
      people += 1;
      const login = `${roles[0] ?? 'nobody'}-${people}`;
      const personId = await createPerson(login, roles);
      if (roles.includes('reviewer')) await grantReview(store, program, personId);
      return signIn(login);
    },
    stop: () => app.close(),
  };
}

/** Lets a reviewer see all there is for as long as a test may last. */
async function grantReview(store: Store, actor: Actor, personId: string): Promise<void> {
  await store.change(actor, 'review.granted', async (unit) => {
    const always = { from: '2000-01-01T00:00:00.000Z', to: '2100-01-01T00:00:00.000Z' };
    const valid = { validFrom: always.from, validUntil: always.to };
    const by = { reason: 'for the test', at: unit.at, byPersonId: personId };
    await unit.insert(ReviewGrantRow, { personId, ...always, ...valid, ...by });
    unit.about('person', personId, { ...always });
  });
}

/** The invented laboratory, with its zone, unless the database holds it already. */
export async function addTestLaboratory(config: Config, clock: HandClock): Promise<void> {
  const store = new Store(await connect(config.database), clock);
  const { laboratoryId, demo } = config;
  await store.change({ laboratoryId, personId: null, deviceId: null }, 'laboratory.set-up', async (unit) => {
    if (await laboratoryOf(unit)) return;
    const zone = 'Atlantic/Azores';
    await addLaboratory(unit, { name: 'Saltmarrow Hospital', zone, demo, driftPpm: 100 });
    unit.about('laboratory', laboratoryId, { zone });
  });
  await disconnect(store.connections);
}
