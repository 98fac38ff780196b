import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ROOT } from '../cli/stainwright.js';

/** The built program with the invented laboratory in it. */
export interface RunningDemo {
  url: string;
  stop: () => Promise<void>;
}

/**
 * Starts the built program on a free port of the loopback, its data in a fresh folder that goes when it stops.
 * `at` is what its clock says as it starts; the machine's time when left out.
 */
export async function startDemo(at?: Date): Promise<RunningDemo> {
  const folder = await mkdtemp(join(tmpdir(), 'stainwright-demo-'));
  const program = spawn(process.execPath, [...(at ? ['--import', './test/support/clock-at.js'] : []), 'dist/main.js'], {
    cwd: ROOT,
    env: {
      PATH: process.env['PATH'],
      STAINWRIGHT_DEMO: 'on',
      DATA_DIR: folder,
      PORT: '0',
      LOG_LEVEL: 'warn',
      ...(at && { CLOCK_AT: at.toISOString() }),
    },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const stop = async (): Promise<void> => {
    await ended(program);
    await rm(folder, { recursive: true, force: true });
  };
  let said = '';
  program.stdout.setEncoding('utf8').on('data', (text: string) => (said += text));
  for (let turn = 0; turn < 1_200 && program.exitCode === null; turn += 1) {
    const url = /listens at (\S+)/.exec(said)?.[1];
    if (url) return { url, stop };
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  await stop();
  throw new Error(`the demo did not start; build it first. It said: ${said}`);
}

async function ended(program: ChildProcess): Promise<void> {
  if (program.exitCode !== null || program.signalCode !== null) return;
  program.kill('SIGTERM');
  await once(program, 'exit');
}
