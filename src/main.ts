import type { AddressInfo } from 'node:net';
import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import { createApp } from './app.js';
import { type Config, ConfigError, readConfig } from './config.js';
import { prepareDemo, signInsInWords } from './demo/first-start.js';
import { SetupLinks } from './modules/people/setup-links.js';
import { StartError } from './open-store.js';

async function start(): Promise<void> {
  const config = readConfig(process.env);
  const app = await createApp(config);
  stopOnSignals(app);
  const link = await app.get(SetupLinks).makeForFirstPerson();
  if (config.demo) await prepareDemo(app, link);
  await listen(app, config);
  const address = config.publicUrl ?? ownAddress(app, config);
  const lines = [`Stainwright listens at ${address}`];
  if (config.demo) lines.push(...signInsInWords());
  else if (link !== null)
    lines.push(`Nobody can sign in yet. Set it up within a day, once, at ${address}/setup#${link}`);
  process.stdout.write(`${lines.join('\n')}\n`);
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
function stopOnSignals(app: NestFastifyApplication): void {
  for (const signal of ['SIGTERM', 'SIGINT'] as const) {
    process.once(signal, () => {
      app.close().then(
        () => process.exit(0),
        (error: unknown) => {
          process.stderr.write(`${error instanceof Error ? error.stack : String(error)}\n`);
          process.exit(1);
        },
      );
    });
  }
}

start().catch((error: unknown) => {
  const known = [ConfigError, StartError, Refusal].some((kind) => error instanceof kind);
  process.stderr.write(`${known ? error.message : error instanceof Error ? error.stack : String(error)}\n`);
  process.exit(1);
});
