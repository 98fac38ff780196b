import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { stainwright } from './stainwright.js';

describe('stainwright protocol check', () => {
  let folder: string;

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'stainwright-protocols-'));
  });

  afterAll(() => rm(folder, { recursive: true, force: true }));

  it('says ok and how many figures are still proposals', async () => {
    const { code, out } = await stainwright(['protocol', 'check', 'protocols/ao-fresh.yaml', 'protocols/sources.yaml']);
    expect(out).toMatch(
      /^protocols\/ao-fresh\.yaml: ok, \d+ open proposals\nprotocols\/sources\.yaml: ok, \d+ sources\n$/,
    );
    expect(code).toBe(0);
  });

  it('tells each problem with file, line and column, and goes on to the next file', async () => {
    const good = await readFile('protocols/ao-fresh.yaml', 'utf8');
    const lines = good.split('\n');
    const [longest, unit] = [
      lines.findIndex((line) => line.includes('min: 15, target: 20, max: 30, unit: s')),
      lines.findIndex((line) => line.includes('category: fluorescent')),
    ];
    lines[longest] = lines[longest]!.replace('min: 15', 'min: 45');
    const file = join(folder, 'ao-fresh.yaml');
    await writeFile(file, lines.join('\n'));
    const { code, out } = await stainwright(['protocol', 'check', file, 'protocols/ihc-dab.yaml']);
    expect(code).toBe(1);
    const [problem, ...rest] = out.trimEnd().split('\n');
    expect(problem).toMatch(new RegExp(`^${file}:${longest + 1}:\\d+: .*min`));
    expect(rest.at(-1)).toMatch(/^protocols\/ihc-dab\.yaml: ok/);

    lines[unit] = 'colour: green';
    await writeFile(file, lines.join('\n'));
    const unknown = await stainwright(['protocol', 'check', file]);
    expect(unknown.code).toBe(1);
    expect(unknown.out).toMatch(new RegExp(`^${file}:${unit + 1}:1: .*colour`, 'm'));
  });

  it('says which file cannot be read', async () => {
    const { code, out } = await stainwright(['protocol', 'check', join(folder, 'absent.yaml')]);
    expect(code).toBe(1);
    expect(out).toContain('absent.yaml:1:1: this file cannot be read');
  });
});
