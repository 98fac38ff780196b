import { describe, expect, it } from '@jest/globals';
import { readFileSync } from 'node:fs';
import { stainwright } from './stainwright.js';

interface Case {
  id: string;
  expected: Record<string, unknown>;
}

/** What a case says about itself and no program may look at. */
const ABOUT = ['expected', 'what', 'why', 'origin', 'source', 'tolerance'];

function casesOf(name: string): Case[] {
  const text = readFileSync(new URL(`../vectors/${name}.json`, import.meta.url), 'utf8');
  return (JSON.parse(text) as { cases: Case[] }).cases;
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
  // Sources: test/vectors/timing.json (JCGM 106:2012), expiry.json (42 CFR 493.1252(d) and conventions that it names),
  // gs1.json (GS1 General Specifications, published tests of the GS1 Barcode Syntax Engine).
  it.each(['timing', 'expiry', 'gs1'])('answers every published case of %s in its order', async (name) => {
    const cases = casesOf(name);
    const answers = await computed(name, cases.map(lineOf).join(''));
    expect(answers.map(({ id }) => id)).toEqual(cases.map(({ id }) => id));
    for (const [n, { expected }] of cases.entries()) {
      const { error, ...rest } = expected;
      expect(answers[n]).toMatchObject(rest);
      expect('error' in answers[n]!).toBe(error !== undefined || expected['valid'] === false);
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
