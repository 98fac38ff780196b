import { type ChildProcess, spawn } from 'node:child_process';
import { randomUUID } from 'node:crypto';
import { once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from '@jest/globals';
import { Api, overHttp } from '../../src/client.js';
import type { RunView } from '../../src/core/run/view.js';
import { PASSWORD } from '../../src/demo/laboratory.js';
import { describeOnEachEmptyDatabase, type FreshDatabase } from '../support/databases.js';
import { ROOT, stainwright } from '../cli/stainwright.js';

async function freePort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const address = server.address();
  server.close();
  await once(server, 'close');
  return typeof address === 'object' && address ? address.port : 0;
}

describeOnEachEmptyDatabase('The program, killed in the middle of a run', (empty) => {
  let database: FreshDatabase;
  let folder: string;
  let program: ChildProcess;
  let port: number;
  let env: Record<string, string>;

  beforeEach(async () => {
    database = await empty();
    folder = await mkdtemp(join(tmpdir(), 'stainwright-kill-'));
    port = await freePort();
    const { address } = database;
    env = {
      STAINWRIGHT_DEMO: 'on',
      DATA_DIR: folder,
      PORT: String(port),
      LOG_LEVEL: 'silent',
      ...(address.kind === 'postgres' ? { DATABASE_URL: address.url } : {}),
    };
  });

  afterEach(async () => {
    await kill();
    await database.drop();
    await rm(folder, { recursive: true, force: true });
  });

  async function start(): Promise<void> {
    program = spawn(process.execPath, ['dist/main.js'], {
      cwd: ROOT,
      env: { PATH: process.env['PATH'], ...env },
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    let said = '';
    program.stdout?.setEncoding('utf8').on('data', (text: string) => (said += text));
    for (let turn = 0; !said.includes('listens at'); turn += 1) {
      if (program.exitCode !== null || turn > 1800) throw new Error(`the program did not start in 90 s: ${said}`);
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
  }

  async function kill(): Promise<void> {
    if (program.exitCode !== null || program.signalCode !== null) return;
    program.kill('SIGKILL');
    await once(program, 'exit');
  }

  it('has every acknowledged event after its restart, running steps go on from their true start, and the record verifies', async () => {
    await start();
    const acknowledged = new Map<string, string[]>();
    let runningSince = '';
    for (const lifetimeMs of [400, 900]) {
      const send = overHttp(`http://127.0.0.1:${port}`);
      const api = await Api.signIn(send, 'tansy', PASSWORD);
      const { runs } = await api.get<{ runs: RunView[] }>('/bench');
      const racks = runs.filter(({ station }) => station === 'H&E line');
      const rack = racks[0];
      if (!rack) throw new Error('the demo has a rack on its H&E line');
      runningSince = rack.events.find(({ kind }) => kind === 'step-started')?.stamp.at ?? '';
      let alive = true;
      const write = async (run: RunView): Promise<void> => {
        while (alive) {
          const text = randomUUID();
          const stamp = await api.stamp('kill-test').catch(() => null);
          if (!stamp) return;
          const done = await api
            .post<{ event: { id: string } }>(`/runs/${run.id}/events`, { kind: 'noted', data: { text }, stamp })
            .catch(() => null);
          if (done) acknowledged.set(run.id, [...(acknowledged.get(run.id) ?? []), done.event.id]);
        }
      };
      const writers = runs.flatMap((run) => [write(run), write(run)]);
      await new Promise((resolve) => setTimeout(resolve, lifetimeMs));
      await kill();
      alive = false;
      await Promise.all(writers);
      await start();
    }
    const api = await Api.signIn(overHttp(`http://127.0.0.1:${port}`), 'tansy', PASSWORD);
    const { runs } = await api.get<{ runs: RunView[] }>('/bench');
    let checked = 0;
    for (const [runId, ids] of acknowledged) {
      const kept = new Set(runs.find(({ id }) => id === runId)?.events.map(({ id }) => id));
      expect(ids.filter((id) => !kept.has(id))).toEqual([]);
      checked += ids.length;
    }
    expect(checked).toBeGreaterThan(20);
    const rack = runs.find(({ station }) => station === 'H&E line');
    expect(rack?.events.find(({ kind }) => kind === 'step-started')?.stamp.at).toBe(runningSince);
    await kill();
    const verified = await stainwright(['verify'], { env });
    expect(verified).toMatchObject({ code: 0 });
  });
});
