import { describe, expect, it } from '@jest/globals';
import { readFileSync } from 'node:fs';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expectClose, type Json } from '../support/close.js';
import { stainwright } from './stainwright.js';

interface Case {
  id: string;
  file?: string;
  tolerance?: number | { rel?: number; abs?: number };
  expected: Record<string, unknown>;
}

/** What a case says about itself and no program may look at. */
const ABOUT = ['expected', 'what', 'why', 'origin', 'source', 'tolerance'];

function fileOf(name: string): { cases: Case[]; tolerance?: Case['tolerance'] } {
  const text = readFileSync(new URL(`../vectors/${name}.json`, import.meta.url), 'utf8');
  return JSON.parse(text) as { cases: Case[]; tolerance?: Case['tolerance'] };
}

function casesOf(name: string): Case[] {
  return fileOf(name).cases;
}

/** A bare number is absolute; a case without its own takes its file's, else 1e-9 relative. */
function toleranceOf(own: Case['tolerance'], ofFile: Case['tolerance']): { rel: number; abs: number } {
  const given = own ?? ofFile;
  if (typeof given === 'number') return { rel: 0, abs: given };
  return { rel: given?.rel ?? 1e-9, abs: given?.abs ?? 1e-12 };
}

function lineOf(each: object): string {
  return `${JSON.stringify(Object.fromEntries(Object.entries(each).filter(([key]) => !ABOUT.includes(key))))}\n`;
}

async function computed(name: string, input: string): Promise<Record<string, unknown>[]> {
  const { code, out, err } = await stainwright(['compute', name], { input });
  expect({ code, err }).toEqual({ code: 0, err: '' });
  expect(out.endsWith('\n')).toBe(true);
  return out
    .slice(0, -1)
    .split('\n')
    .map((line) => JSON.parse(line) as Record<string, unknown>);
}

describe('stainwright compute', () => {
  // Sources: test/vectors/timing.json (JCGM 106:2012), schedule.json (42 CFR 493.1256 to 493.1273), expiry.json (42 CFR 493.1252(d) and conventions that it names),
  // gs1.json (GS1 General Specifications, published tests of the GS1 Barcode Syntax Engine).
  it.each(['timing', 'expiry', 'gs1', 'schedule'])('answers every published case of %s in its order', async (name) => {
    const cases = casesOf(name);
    const answers = await computed(name, cases.map(lineOf).join(''));
    expect(answers.map(({ id }) => id)).toEqual(cases.map(({ id }) => id));
    for (const [n, { expected }] of cases.entries()) {
      const { error, ...rest } = expected;
      expect(answers[n]).toMatchObject(rest);
      expect('error' in answers[n]!).toBe(error !== undefined || expected['valid'] === false);
    }
  });

  // Sources and making stand in each file of test/vectors. Pictures are named from where the file lies.
  it.each([
    'recipe',
    'reorder',
    'forecast',
    'fefo',
    'multirule',
    'limits',
    'agreement',
    'lotcompare',
    'samplesize',
    'stainimage',
    'plan',
  ])('answers every published case of %s within its tolerance', async (name) => {
    const { cases, tolerance: ofFile } = fileOf(name);
    const folder = fileURLToPath(new URL('../vectors/', import.meta.url));
    const given = cases.map((each) => (each.file === undefined ? each : { ...each, file: join(folder, each.file) }));
    const answers = await computed(name, given.map(lineOf).join(''));
    expect(answers.map(({ id }) => id)).toEqual(cases.map(({ id }) => id));
    for (const [n, { expected, tolerance }] of cases.entries()) {
      if (expected['error'] === true) expect(answers[n]).toHaveProperty('error.message');
      else expectClose(answers[n], expected as Json, toleranceOf(tolerance, ofFile));
    }
  });

  it('says what is wrong with a picture that it cannot measure, and goes on', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'stainwright-png-'));
    try {
      const whole = await readFile(new URL('../vectors/images/ihc-left.png', import.meta.url));
      const bomb = Buffer.from(whole);
      bomb.writeUInt32BE(2_000_000_000, 16);
      const files = { text: Buffer.from('no picture'), cut: whole.subarray(0, 5000), bomb };
      for (const [file, bytes] of Object.entries(files)) await writeFile(join(folder, file), bytes);
      const lines = [...Object.keys(files), 'none'].map((file) =>
        JSON.stringify({ id: file, file: join(folder, file) }),
      );
      const answers = await computed('stainimage', [...lines, '{"id":"ok","rgb":[128,128,128]}'].join('\n'));
      expect(answers.slice(0, 4).map(({ error }) => (error as { message: string }).message)).toEqual([
        expect.stringContaining('give a PNG, JPEG or TIFF file'),
        expect.stringContaining('is cut off before its end'),
        expect.stringContaining('at most 64 megapixels'),
        expect.stringContaining('cannot be read (ENOENT)'),
      ]);
      expect(answers[4]).toMatchObject({ id: 'ok', stains: {} });
    } finally {
      await rm(folder, { recursive: true, force: true });
    }
  });

  it('answers bad cases on their lines and goes on', async () => {
    const [good] = casesOf('timing');
    const lines = ['{"id":"x"}', 'not json', '7', 'null', '[]', '{"id":7}', '', lineOf(good!).trim()];
    const answers = await computed('timing', lines.join('\n'));
    const refused = (id: unknown, code: string): object => ({ id, error: { code, message: expect.any(String) } });
    expect(answers.slice(0, 7)).toEqual([
      refused('x', 'malformed-case'),
      refused(null, 'not-json'),
      refused(null, 'malformed-case'),
      refused(null, 'malformed-case'),
      refused(null, 'malformed-case'),
      refused(7, 'malformed-case'),
      refused(null, 'not-json'),
    ]);
    expect(answers[7]).toMatchObject({ id: good!.id, ...good!.expected });
  });

  it('ends a line at a line feed only, with or without carriage return', async () => {
    const [first, second] = casesOf('timing').map((each) => ({ ...each, id: `${each.id}\u2028` }));
    const answers = await computed('timing', `\ufeff${lineOf(first!).replace('\n', '\r\n')}${lineOf(second!)}`);
    expect(answers.map(({ id }) => id)).toEqual([first!.id, second!.id]);
  });

  it('answers a long input whole', async () => {
    const cases = casesOf('timing');
    const input = cases.map(lineOf).join('').repeat(2000);
    expect(input.length).toBeGreaterThan(5_000_000);
    const answers = await computed('timing', input);
    expect(answers).toHaveLength(cases.length * 2000);
    expect(answers.at(-1)!['id']).toBe(cases.at(-1)!.id);
  });

  it('names what it can compute when asked for something else', async () => {
    for (const name of ['tarot', 'toString']) {
      const { code, out, err } = await stainwright(['compute', name]);
      expect({ code, out }).toEqual({ code: 2, out: '' });
      expect(err).toContain(`"${name}"; there are timing, expiry, gs1`);
    }
    expect((await stainwright(['compute'])).code).toBe(2);
    expect((await stainwright(['tarot'])).code).toBe(2);
  });

  it('gives nothing for no input', async () => {
    expect(await stainwright(['compute', 'gs1'])).toEqual({ code: 0, out: '', err: '' });
  });
});
