import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Api, overHttp } from '../../src/client.js';
import type { BenchDto } from '../../src/contract/run-view.dto.js';
import { PASSWORD, PEOPLE } from '../../src/demo/laboratory.js';
import { ROOT, stainwright } from './stainwright.js';

describe('stainwright run, against a demo that was started', () => {
  let folder: string;
  let server: ChildProcess;
  let printed = '';
  let url: string;
  let asTechnician: string[];

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'stainwright-run-test-'));
    const passwordFile = join(folder, 'password');
    await writeFile(passwordFile, `${PASSWORD}\n`);
    url = await startServer();
    asTechnician = ['--url', url, '--login', PEOPLE.technician.login, '--password-file', passwordFile];
  });

  afterAll(async () => {
    await stopServer();
    await rm(folder, { recursive: true, force: true });
  });

  /** Starts the program as npm start does and answers the address that it prints. */
  function startServer(): Promise<string> {
    printed = '';
    const env = { PATH: process.env['PATH'], DATA_DIR: folder, STAINWRIGHT_DEMO: 'on', PORT: '0', LOG_LEVEL: 'error' };
    server = spawn(process.execPath, ['dist/main.js'], { cwd: ROOT, env });
    return new Promise((resolve, reject) => {
      const hear = (text: Buffer): void => {
        printed += text.toString();
        const address = /listens at (http:\S+)\n[^]*administrator\n/.exec(printed)?.[1];
        if (address !== undefined) resolve(address);
      };
      server.stdout?.on('data', hear);
      server.stderr?.on('data', hear);
      server.on('close', () => reject(new Error(`the program ended: ${printed}`)));
    });
  }

  function stopServer(): Promise<void> {
    return new Promise((resolve) => {
      server.once('close', () => resolve());
      server.kill('SIGTERM');
    });
  }

  const bench = async (): Promise<BenchDto['runs']> => {
    const api = await Api.signIn(overHttp(url), PEOPLE.technician.login, PASSWORD);
    const { runs } = await api.get<BenchDto>('/bench');
    await api.signOut();
    return runs;
  };

  it('finds work on the benches, and how to sign in is told', async () => {
    expect((await bench()).map(({ station }) => station)).toEqual(['Ultrasound 1', 'H&E line', 'Special stains']);
    for (const { login, name } of Object.values(PEOPLE)) expect(printed).toMatch(new RegExp(`${login} +${name}`));
    expect(printed).toContain(PASSWORD);
    expect(printed).not.toContain('/setup#');
  });

  it('starts a run and its steps, shows it, and tells what is refused', async () => {
    const rack = (await bench()).find(({ station }) => station === 'H&E line')!;
    const labels = rack.subjects.map(({ label, control }) =>
      control ? ['--control', `${control}=${label}`] : ['--subject', label],
    );
    const wanted = ['--protocol', 'he-harris-regressive', '--station', 'H&E line', ...labels.flat()];
    const started = await stainwright(['run', 'start', ...asTechnician, ...wanted]);
    expect(started).toMatchObject({ code: 0, err: '' });
    const id = started.out.trim();

    const step = await stainwright(['run', 'step-start', id, 'dewax-1', ...asTechnician]);
    expect(step).toMatchObject({ code: 0, err: '' });
    expect(step.out).toMatch(/^step-started dewax-1 at \d{4}-.*Z\n$/);
    const again = await stainwright(['run', 'step-start', id, 'dewax-1', ...asTechnician]);
    expect(again.code).toBe(1);
    expect(again.err).toContain('is running since');
    expect((await stainwright(['run', 'step-end', id, 'dewax-1', ...asTechnician])).code).toBe(0);

    const { out } = await stainwright(['run', 'show', id, ...asTechnician]);
    expect(out).toMatch(/^dewax-1 +\d{4}-\S+Z to \d{4}-\S+Z$/m);
    expect(out).toContain('next: dewax-2');
  });

  it('shows a run to a device, and says who must act when nobody does', async () => {
    const api = await Api.signIn(overHttp(url), PEOPLE.administrator.login, PASSWORD);
    const { token } = await api.post<{ token: string }>('/devices', { name: 'bench lamp', roles: ['technician'] });
    const [run] = await bench();
    const shown = await stainwright(['run', 'show', run!.id, '--url', url, '--token', token]);
    expect(shown.out).toContain('Acridine orange');
    const nobody = await stainwright(['run', 'show', run!.id, '--url', url]);
    expect(nobody.code).toBe(1);
    expect(nobody.err).toContain('--token');
  });

  it('says that no server is there', async () => {
    const { code, err } = await stainwright(['run', 'show', 'x', '--url', 'http://127.0.0.1:9', '--token', 't']);
    expect(code).toBe(1);
    expect(err).toContain('No answer from http://127.0.0.1:9');
  });

  it('sets nothing up a second time when it starts again', async () => {
    const before = (await bench()).map(({ id }) => id);
    await stopServer();
    url = await startServer();
    expect((await bench()).map(({ id }) => id)).toEqual(before);
  });
});
