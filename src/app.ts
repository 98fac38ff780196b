import { fileURLToPath } from 'node:url';
import fastifyCookie from '@fastify/cookie';
import { NestFactory } from '@nestjs/core';
import { FastifyAdapter, type NestFastifyApplication } from '@nestjs/platform-fastify';
import { type FastifyInstance, LogController } from 'fastify';
import type { DestinationStream } from 'pino';
import { AppModule } from './app.module.js';
import { type Clock, SystemClock } from './clock.js';
import type { Config } from './config.js';
import { FrameworkLog, openLog } from './modules/http/logging.js';
import { serveOpenApi } from './modules/http/openapi.js';
import { answerProblem } from './modules/http/problem.filter.js';
import { acceptRawBodies } from './modules/http/raw-body.js';
import { requestIdOf } from './modules/http/request-id.js';
import { securityHeaders } from './modules/http/security-headers.js';
import { serveWebFiles } from './modules/http/web-files.js';

const WEB_FILES = fileURLToPath(new URL('../dist/web', import.meta.url));

export interface AppParts {
  clock?: Clock;
  /** Where the log goes; standard output when absent. */
  log?: DestinationStream;
}

/** The whole program but for its port: what main listens with and tests ask. */
export async function createApp(config: Config, { clock, log }: AppParts = {}): Promise<NestFastifyApplication> {
  const logger = openLog(config.logLevel, log);
  const adapter = new FastifyAdapter({
    loggerInstance: logger,
    logController: new LogController({ disableRequestLogging: true, requestIdLogLabel: 'requestId' }),
    genReqId: requestIdOf,
    frameworkErrors: answerProblem,
    bodyLimit: config.bodyLimit,
    requestTimeout: 30_000,
    ...(config.tls === null ? {} : { https: config.tls }),
  });
  const fastify = adapter.getInstance<FastifyInstance>();
  await prepare(fastify, config);
  const app = await NestFactory.create<NestFastifyApplication>(
    AppModule.forRoot(config, clock ?? new SystemClock()),
    adapter,
    // Fastify's own parser takes JSON and nothing else, which also keeps other sites' forms out.
    { logger: new FrameworkLog(logger), abortOnError: false, bodyParser: false },
  );
  app.setGlobalPrefix('api', { exclude: ['health/live', 'health/ready'] });
  app.enableCsrfProtection(config.publicUrl === null ? {} : { trustedOrigins: [config.publicUrl] });
  serveOpenApi(app);
  await app.init();
  await fastify.ready();
  return app;
}

async function prepare(fastify: FastifyInstance, config: Config): Promise<void> {
  fastify.removeContentTypeParser('text/plain');
  acceptRawBodies(fastify);
  const headers = securityHeaders({ tls: config.tls !== null });
  fastify.addHook('onRequest', (request, reply, done) => {
    reply.headers(headers).header('x-request-id', request.id);
    if (request.url.startsWith('/api')) reply.header('cache-control', 'no-store');
    done();
  });
  fastify.addHook('onResponse', (request, reply, done) => {
    request.log.info({ req: request, res: reply, ms: Math.round(reply.elapsedTime * 10) / 10 }, 'answered');
    done();
  });
  await fastify.register(fastifyCookie);
  await serveWebFiles(fastify, WEB_FILES);
}
