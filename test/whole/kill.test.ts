import { type ChildProcess, spawn } from 'node:child_process';
import { randomUUID } from 'node:crypto';
import { once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from '@jest/globals';
import { Api, overHttp } from '../../src/client.js';
import type { RunView } from '../../src/core/run/view.js';
import { PASSWORD } from '../../src/demo/laboratory.js';
import { describeOnEachEmptyDatabase, type FreshDatabase } from '../support/databases.js';
import { ROOT, stainwright } from '../cli/stainwright.js';
import { until } from '../support/until.js';

describeOnEachEmptyDatabase('The program, killed in the middle of a run', (empty) => {
  let database: FreshDatabase;
  let folder: string;
  let program: ChildProcess;
  let url: string;
  let env: Record<string, string>;

  beforeEach(async () => {
    database = await empty();
    folder = await mkdtemp(join(tmpdir(), 'stainwright-kill-'));
    const { address } = database;
    env = {
      STAINWRIGHT_DEMO: 'on',
      DATA_DIR: folder,
      PORT: '0',
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
    const listens = (): string | undefined => /listens at (\S+)/.exec(said)?.[1];
    await until('the program listens', () => listens() !== undefined || program.exitCode !== null);
    url = listens() ?? '';
    if (url === '') throw new Error(`the program did not start: ${said}`);
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
    const count = (): number => [...acknowledged.values()].flat().length;
    // Killed in the middle of writing, once so many more were acknowledged.
    for (const more of [15, 60]) {
      const send = overHttp(url);
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
      const before = count();
      await until(`${more} more are acknowledged`, () => count() >= before + more);
      await kill();
      alive = false;
      await Promise.all(writers);
      await start();
    }
    const api = await Api.signIn(overHttp(url), 'tansy', PASSWORD);
    const { runs } = await api.get<{ runs: RunView[] }>('/bench');
    for (const [runId, ids] of acknowledged) {
      const kept = new Set(runs.find(({ id }) => id === runId)?.events.map(({ id }) => id));
      expect(ids.filter((id) => !kept.has(id))).toEqual([]);
    }
    expect(count()).toBeGreaterThanOrEqual(75);
    const rack = runs.find(({ station }) => station === 'H&E line');
    expect(rack?.events.find(({ kind }) => kind === 'step-started')?.stamp.at).toBe(runningSince);
    await kill();
    const verified = await stainwright(['verify'], { env });
    expect(verified).toMatchObject({ code: 0 });
  }, 900_000);
});
