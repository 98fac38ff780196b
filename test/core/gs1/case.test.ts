import { describe, expect, it } from '@jest/globals';
import { readFileSync } from 'node:fs';
import { computeGs1 } from '../../../src/core/gs1/case.js';

interface Case {
  id: string;
  origin: string;
  form: string;
  text: string;
  today: string;
  why: string;
  expected: { valid: boolean; elements?: { ai: string; value: string }[] } & Record<string, unknown>;
}

// Source: test/vectors/gs1.json, where every case names its own: the published tests of the GS1 Barcode Syntax Engine,
// or a rule of the GS1 General Specifications with the verdict of that engine.
const { cases } = JSON.parse(readFileSync(new URL('../../vectors/gs1.json', import.meta.url), 'utf8')) as {
  cases: Case[];
};

describe('compute gs1', () => {
  it.each(cases.map((c) => [c.id, c.why, c] as const))('%s: %s', (id, _why, { form, text, today, expected }) => {
    const result = computeGs1({ id, form, text, today }) as Record<string, unknown>;
    if (!expected.valid) {
      expect(result).toEqual({
        id,
        valid: false,
        error: { code: expect.stringMatching(/^GS1_/), message: expect.stringMatching(/\.$/), at: expect.any(Number) },
      });
      return;
    }
    expect(result).toMatchObject({ id, ...expected });
    for (const key of ['gtin', 'lot', 'serial', 'expiry']) {
      expect([key, result[key]]).toEqual([key, expected[key]]);
    }
  });

  it.each([
    [undefined, 'text'],
    [null, 'text'],
    ['scan', 'text'],
    [{ id: 'a', form: 'scan', today: '2026-11-25' }, 'text'],
    [{ id: 'a', form: 'scan', text: 7, today: '2026-11-25' }, 'text'],
    [{ id: 'a', text: ']d2', today: '2026-11-25' }, 'form'],
    [{ id: 'a', form: 'picture', text: ']d2', today: '2026-11-25' }, 'form'],
    [{ id: 'a', form: 'scan', text: ']d2' }, 'today'],
    [{ id: 'a', form: 'scan', text: ']d2', today: '2027-02-29' }, 'today'],
    [{ id: 'a', form: 'scan', text: ']d2', today: '2027-13-01' }, 'today'],
  ])('refuses the malformed case %j and names %s', (input, key) => {
    expect(() => computeGs1(input)).toThrow(
      expect.objectContaining({ code: 'GS1_CASE', message: expect.stringContaining(`"${key}"`) }),
    );
  });
});
