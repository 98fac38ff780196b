import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ROOT } from '../cli/stainwright.js';
import { until } from './until.js';

/** The built program with the invented laboratory in it. */
export interface RunningDemo {
  url: string;
  stop: () => Promise<void>;
}

/**
 * Starts the built program on a free port of the loopback, its data in a fresh folder that goes when it stops.
 * `clockAt` is what its clock says as it starts; the machine's time when left out.
 */
export async function startDemo(clockAt?: Date): Promise<RunningDemo> {
  const folder = await mkdtemp(join(tmpdir(), 'stainwright-demo-'));
  const program = spawn(
    process.execPath,
    [...(clockAt ? ['--import', './test/support/clock-at.js'] : []), 'dist/main.js'],
    {
      cwd: ROOT,
      env: {
        PATH: process.env['PATH'],
        STAINWRIGHT_DEMO: 'on',
        DATA_DIR: folder,
        PORT: '0',
        LOG_LEVEL: 'warn',
        ...(clockAt && { CLOCK_AT: clockAt.toISOString() }),
      },
      stdio: ['ignore', 'pipe', 'inherit'],
    },
  );
  const stop = async (): Promise<void> => {
    await ended(program);
    await rm(folder, { recursive: true, force: true });
  };
  let said = '';
  program.stdout.setEncoding('utf8').on('data', (text: string) => (said += text));
  const url = (): string | undefined => /listens at (\S+)/.exec(said)?.[1];
  try {
    await until('the demo listens', () => url() !== undefined || program.exitCode !== null);
    const at = url();
    if (at) return { url: at, stop };
    throw new Error(`the demo did not start; build it first. It said: ${said}`);
  } catch (error) {
    await stop();
    throw error;
  }
}

async function ended(program: ChildProcess): Promise<void> {
  if (program.exitCode !== null || program.signalCode !== null) return;
  program.kill('SIGTERM');
  await once(program, 'exit');
}
