import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import {
  checkCharacter,
  LABEL_KINDS,
  type LabelKind,
  makeLabel,
  readLabel,
  readPrinted,
} from '../../../src/core/gs1/label.js';

const kind = fc.constantFrom(...(Object.keys(LABEL_KINDS) as LabelKind[]));
const id = fc.stringMatching(/^[0-9A-HJKMNP-TV-Z-]{4,32}$/);

describe('check character, ISO/IEC 7064 MOD 37,36', () => {
  // Source: the worked example of the Global Release Identifier standard, A1-2425G-ABC1234002-M; from memory.
  it('of A12425GABC1234002 is M', () => {
    expect(checkCharacter('A12425GABC1234002')).toBe('M');
  });

  const text = fc.stringMatching(/^[0-9A-Z]{5,34}$/);

  it('changes with every single character', () => {
    fc.assert(
      fc.property(text, fc.nat(), fc.integer({ min: 1, max: 35 }), (t, place, change) => {
        const i = place % t.length;
        const other = ((parseInt(t.charAt(i), 36) + change) % 36).toString(36).toUpperCase();
        expect(checkCharacter(t.slice(0, i) + other + t.slice(i + 1))).not.toBe(checkCharacter(t));
      }),
    );
  });
});

describe('our own labels', () => {
  it('are written SW1:<kind>:<id><check>', () => {
    expect(makeLabel('C', '7K3M-0042')).toBe('SW1:C:7K3M-00424');
  });

  it('reads back what it makes', () => {
    fc.assert(
      fc.property(kind, id, (k, i) => {
        expect(readLabel(makeLabel(k, i))).toEqual({ valid: true, kind: k, id: i });
        expect(readLabel(makeLabel(k, i).toLowerCase())).toEqual({ valid: true, kind: k, id: i });
      }),
    );
  });

  it('reads them as pages print them, of the one kind whose check character fits', () => {
    fc.assert(
      fc.property(kind, id, (k, i) => {
        const printed = makeLabel(k, i).slice('SW1:C:'.length);
        expect(readPrinted(printed)).toEqual({ valid: true, kind: k, id: i });
        expect(readPrinted(printed.toLowerCase())).toEqual({ valid: true, kind: k, id: i });
      }),
    );
    expect(readPrinted('7K3M 00424')).toBeNull();
    expect(readPrinted('SW1:C:7K3M-00424')).toBeNull();
  });

  it('tells one kind from another, so that a slide’s label is never taken for a bottle’s', () => {
    expect(readLabel(makeLabel('L', '7K3M-0042').replace(':L:', ':C:'))).toMatchObject({
      valid: false,
      error: { code: 'LABEL_CHECK' },
    });
  });

  it('takes I and L for 1 and O for 0, as Crockford’s base 32 has it', () => {
    const label = makeLabel('C', '10-10');
    expect(readLabel(label.replace('10-10', 'IO-lo'))).toEqual({ valid: true, kind: 'C', id: '10-10' });
  });

  it.each([
    ['SW1:C', 'LABEL_FORM'],
    ['SW2:C:7K3M-0042A', 'LABEL_FORM'],
    ['SW1:C:7K3M:0042A', 'LABEL_FORM'],
    ['SW1:X:7K3M-0042A', 'LABEL_KIND'],
    ['SW1::7K3M-0042A', 'LABEL_KIND'],
    ['SW1:toString:7K3M-0042A', 'LABEL_KIND'],
    ['SW1:C:7K3A', 'LABEL_ID'],
    ['SW1:C:', 'LABEL_ID'],
    ['SW1:C:7K3U-0042A', 'LABEL_ID'],
    [`SW1:C:${'7'.repeat(34)}`, 'LABEL_ID'],
    ['', 'LABEL_FORM'],
  ])('%s is wrong: %s', (text, code) => {
    expect(readLabel(text)).toEqual({
      valid: false,
      error: { code, message: expect.stringMatching(/\.$/), at: expect.any(Number) },
    });
  });

  it.each(['', 'ABC', 'abcd', '7K3U', 'AB CD', 'I123', '7'.repeat(33)])('makes no label of "%s"', (bad) => {
    expect(() => makeLabel('C', bad)).toThrow(RangeError);
  });

  it('never throws on arbitrary text', () => {
    fc.assert(
      fc.property(
        fc.oneof(
          fc.string({ unit: 'binary' }),
          fc.string().map((s) => `SW1:C:${s}`),
        ),
        (t) => {
          expect(typeof readLabel(t).valid).toBe('boolean');
        },
      ),
    );
  });
});
