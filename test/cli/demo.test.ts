import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sqlite3 from 'sqlite3';
import { type Outcome, stainwright } from './stainwright.js';

describe('stainwright demo and verify', () => {
  let folder: string;
  let database: string;
  let demo: Outcome;

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'stainwright-demo-test-'));
    database = join(folder, 'demo.sqlite');
    demo = await stainwright(['demo', '--keep', folder]);
  });

  afterAll(() => rm(folder, { recursive: true, force: true }));

  const tamper = (sql: string): Promise<void> =>
    new Promise((resolve, reject) => {
      const file = new sqlite3.Database(database);
      file.run(sql, (error) => file.close(() => (error ? reject(error) : resolve())));
    });

  it('tells of one run that clears and is released, and one that is held', () => {
    expect(demo.err).toBe('');
    expect(demo.code).toBe(0);
    expect(demo.out).toContain('The gate on "Adequacy of the specimen": clear, no findings');
    expect(demo.out).toContain('Released: adequacy, signed by');
    expect(demo.out).toContain('The gate on "Adequacy of the specimen": held');
    expect(demo.out).toContain('refused (409)');
    expect(demo.out).toContain('the lymph node is clear and released; the thyroid nodule is held and not released');
  });

  it('finds exactly what was wrong with the second', () => {
    const findings = [...demo.out.matchAll(/^ +(stop|caution|note) {2}([a-z-]+):/gm)].map(([, weight, rule]) => [
      weight,
      rule,
    ]);
    expect(findings.sort()).toEqual([
      ['stop', 'control-failed'],
      ['stop', 'past-opened-life'],
      ['stop', 'step-long'],
    ]);
  });

  it('leaves a record that holds, and verifies it from its file', async () => {
    expect(demo.out).toContain('The record holds.');
    const checked = await stainwright(['verify', '--database', database]);
    expect(checked).toMatchObject({ code: 0, err: '' });
    expect(checked.out).toMatch(
      /^outer-quill \(.*\): entries \d+, rows \d+, releases .*: 1, files 1\. The record holds\.$/m,
    );
    expect(checked.out).toMatch(/^ {2}Last entry: \d+, hash [0-9a-f]{64}$/m);
    expect(checked.out).toMatch(/^ {2}No checkpoint\.$/m);
    const byEnvironment = await stainwright(['verify'], { env: { DATA_DIR: folder, STAINWRIGHT_DEMO: 'on' } });
    expect(byEnvironment).toEqual(checked);
  });

  it('does not play a second time over the first', async () => {
    const { code, err } = await stainwright(['demo', '--keep', folder]);
    expect(code).toBe(1);
    expect(err).toContain('holds a demo already');
  });

  it('names the place of what was changed, and fails', async () => {
    await tamper(`UPDATE release SET verdict = 'held'`);
    const { code, out } = await stainwright(['verify', '--database', database]);
    expect(code).toBe(1);
    expect(out).toMatch(/^outer-quill, record \d+, release [0-9a-f-]+: the row is not as entry \d+ recorded it$/m);
    expect(out).toMatch(
      /^outer-quill, record \d+, release [0-9a-f-]+: the release says held, no findings; .* give clear, no findings$/m,
    );
    expect(out).toContain('Faults: 2.');
  });

  it('says where it looked when there is no database', async () => {
    const absent = join(folder, 'absent.sqlite');
    const { code, out, err } = await stainwright(['verify', '--database', absent]);
    expect({ code, out }).toEqual({ code: 1, out: '' });
    expect(err).toContain(absent);
  });
});
