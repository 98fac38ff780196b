import { createServer, type Server } from 'node:http';
import { SystemClock } from './clock.js';
import { type Config, ConfigError, readConfig } from './config.js';
import { queuePrefix } from './jobs/names.js';
import type { JobRunner } from './jobs/runner.js';
import { startJobs } from './jobs/start.js';
import { openLog } from './modules/http/logging.js';
import { openStore, StartError } from './open-store.js';
import { lastSeq } from './store/questions/entries.js';
import type { Store } from './store/store.js';

/** A process that does jobs and serves nobody: only its own health at HOST and PORT. */
async function start(): Promise<void> {
  const config = readConfig(process.env);
  if (config.queueUrl === null) {
    throw new StartError('QUEUE_URL is not set; without a queue the program does its jobs itself and needs no worker.');
  }
  const clock = new SystemClock();
  const store = await openStore(config, clock);
  const log = openLog(config.logLevel);
  const { queueUrl, checkpoints, filesDir, mail } = config;
  const warn = (message: string): void => log.warn(message);
  const address = {
    queueUrl,
    prefix: queuePrefix(config.laboratoryId),
    works: true,
    checkpoints,
    filesDir,
    mail,
    warn,
  };
  const runner = await startJobs(address, store, clock);
  const health = serveHealth(config, store, runner);
  const stop = async (): Promise<void> => {
    health.close();
    await runner.stop();
    await store.close();
  };
  for (const signal of ['SIGTERM', 'SIGINT'] as const)
    process.once(signal, () => void stop().then(() => process.exit(0), fail));
  log.info('does jobs');
}

function serveHealth({ host, port, laboratoryId }: Config, store: Store, runner: JobRunner): Server {
  const ready = async (): Promise<boolean> => {
    await store.read(laboratoryId, lastSeq);
    return runner.healthy();
  };
  return createServer((request, response) => {
    const answer = (status: number): void => void response.writeHead(status).end();
    if (request.url === '/health/live') answer(200);
    else if (request.url !== '/health/ready') answer(404);
    else
      ready().then(
        (ok) => answer(ok ? 200 : 503),
        () => answer(503),
      );
  })
    .on('error', fail)
    .listen(port, host);
}

function fail(error: unknown): never {
  const known = error instanceof ConfigError || error instanceof StartError;
  process.stderr.write(`${known ? error.message : error instanceof Error ? error.stack : String(error)}\n`);
  process.exit(1);
}

start().catch(fail);
