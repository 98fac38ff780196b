import type { AddressInfo } from 'node:net';
import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import { createApp } from './app.js';
import { Clock } from './clock.js';
import { type Config, ConfigError, readConfig } from './config.js';
import { Refusal } from './core/refusal.js';
import { prepareDemo, signInsInWords } from './demo/first-start.js';
import { SetBackClock } from './demo/yesterday.js';
import { queuePrefix } from './jobs/names.js';
import type { JobRunner } from './jobs/runner.js';
import { startJobs } from './jobs/start.js';
import { HealthChecks } from './modules/http/health-checks.js';
import { openLog } from './modules/http/logging.js';
import { SetupLinks } from './modules/people/setup-links.js';
import { StartError } from './open-store.js';
import { Store } from './store/store.js';

async function start(): Promise<void> {
  const config = readConfig(process.env);
  const demoClock = config.demo ? new SetBackClock() : null;
  const app = await createApp(config, demoClock ? { clock: demoClock } : {});
  const jobs = await startJobsOf(app, config);
  stopOnSignals(async () => {
    await jobs.stop();
    await app.close();
  });
  const link = await app.get(SetupLinks).makeForFirstPerson();
  if (demoClock) await prepareDemo(app, demoClock, link);
  await listen(app, config);
  const address = config.publicUrl ?? ownAddress(app, config);
  const lines = [`Stainwright listens at ${address}`];
  if (config.demo) lines.push(...signInsInWords());
  else if (link !== null)
    lines.push(`Nobody can sign in yet. Set it up within a day, once, at ${address}/setup#${link}`);
  process.stdout.write(`${lines.join('\n')}\n`);
}

/** Jobs run in this process, or are handed to the workers when there is a queue. */
async function startJobsOf(
  app: NestFastifyApplication,
  { queueUrl, laboratoryId, checkpoints, filesDir, mail, logLevel }: Config,
): Promise<JobRunner> {
  const log = openLog(logLevel);
  const warn = (message: string): void => log.warn(message);
  const address = { queueUrl, prefix: queuePrefix(laboratoryId), checkpoints, filesDir, mail, warn };
  const jobs = await startJobs(address, app.get(Store), app.get(Clock));
  app.get(HealthChecks).add('jobs', async () => {
    if (!(await jobs.healthy())) throw new Error('the queue does not answer');
  });
  return jobs;
}

async function listen(app: NestFastifyApplication, { port, host }: Config): Promise<void> {
  try {
    await app.listen(port, host);
  } catch (error) {
    await app.close();
    const { code, message } = error as NodeJS.ErrnoException;
    throw new StartError(
      code === 'EADDRINUSE'
        ? `Port ${port} of ${host} is taken by another program; stop that one, or set PORT to a free port.`
        : `Port ${port} of ${host} cannot be listened on (${message}); set HOST and PORT to an address of this machine.`,
    );
  }
}

function ownAddress(app: NestFastifyApplication, { tls, host }: Config): string {
  const { port } = app.getHttpServer().address() as AddressInfo;
  // What listens everywhere has no address of its own to type.
  const everywhere = ['0.0.0.0', '::'].includes(host);
  const name = everywhere ? 'localhost' : host.includes(':') ? `[${host}]` : host;
  return `${tls === null ? 'http' : 'https'}://${name}:${port}`;
}

/** Requests that run are finished and what they wrote is committed before the process ends. */
function stopOnSignals(stop: () => Promise<void>): void {
  for (const signal of ['SIGTERM', 'SIGINT'] as const) {
    process.once(signal, () => {
      stop().then(
        () => process.exit(0),
        (error: unknown) => {
          process.stderr.write(`${inWords(error)}\n`);
          process.exit(1);
        },
      );
    });
  }
}

/** What a person can mend is said plainly; anything else with its stack. */
function inWords(error: unknown): string {
  if (!(error instanceof Error)) return String(error);
  const plain = [ConfigError, StartError, Refusal].some((kind) => error instanceof kind);
  return plain ? error.message : (error.stack ?? error.message);
}

start().catch((error: unknown) => {
  process.stderr.write(`${inWords(error)}\n`);
  process.exit(1);
});
