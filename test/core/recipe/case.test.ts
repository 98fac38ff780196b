import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import { computeRecipe } from '../../../src/core/recipe/case.js';

interface RecipeCase {
  id: string;
  what: string;
  expected: { error: true } | Record<string, number>;
  tolerance?: number | { rel: number };
}

// Source and making stand in the file: IUPAC atomic weights, C1 V1 = C2 V2, Henderson-Hasselbalch, an independent script.
const { cases } = JSON.parse(readFileSync(new URL('../../vectors/recipe.json', import.meta.url), 'utf8')) as {
  cases: RecipeCase[];
};

describe('the published recipe cases', () => {
  it('are all here', () => expect(cases).toHaveLength(19));

  it.each(cases)('$id $what', ({ expected, tolerance = { rel: 1e-9 }, what, ...given }) => {
    if ('error' in expected) {
      expect(() => computeRecipe(given)).toThrow(expect.objectContaining({ code: expect.any(String) }));
      return;
    }
    const computed = computeRecipe(given) as Record<string, unknown>;
    expect(Object.keys(computed)).toEqual(expect.arrayContaining(['id', ...Object.keys(expected)]));
    expect(computed.id).toBe(given.id);
    for (const [key, value] of Object.entries(expected)) {
      const allowed = typeof tolerance === 'number' ? tolerance : tolerance.rel * Math.abs(value);
      expect(Math.abs(Number(computed[key]) - value)).toBeLessThanOrEqual(allowed);
    }
  });
});

describe('further operations', () => {
  it('says what concentration a weighed mass gives', () => {
    // Physiological saline, 9.0 g of NaCl in a litre: 154 mmol/L, common practice.
    const { concentration } = computeRecipe({
      id: 'a',
      op: 'concentration',
      mass: { value: 9, unit: 'g' },
      volume: { value: 1, unit: 'L' },
      unit: 'mmol/L',
      formula: 'NaCl',
    }) as { concentration: { value: number; unit: string } };
    expect(concentration.unit).toBe('mmol/L');
    expect(concentration.value).toBeCloseTo(154.0, 1);
  });

  it('fills the tubes of a serial dilution', () => {
    expect(
      computeRecipe({
        id: 'a',
        op: 'serialDilution',
        from: { value: 1, unit: 'mg/mL' },
        factor: 2,
        tubes: 2,
        volume: { value: 1000, unit: 'uL' },
      }),
    ).toEqual({
      id: 'a',
      tubes: [
        { concentration: { value: 0.5, unit: 'mg/mL' }, transferMl: 0.5, diluentMl: 0.5 },
        { concentration: { value: 0.25, unit: 'mg/mL' }, transferMl: 0.5, diluentMl: 0.5 },
      ],
    });
  });

  it('scales lines', () => {
    expect(
      computeRecipe({
        id: 'a',
        op: 'scale',
        makes: { value: 1, unit: 'L' },
        volume: { value: 250, unit: 'mL' },
        lines: [{ takes: 'NaH2PO4.H2O', amount: { value: 4, unit: 'g' } }],
      }),
    ).toEqual({ id: 'a', lines: [{ takes: 'NaH2PO4.H2O', amount: { value: 1, unit: 'g' } }] });
  });
});

describe('a recipe case that cannot be computed', () => {
  const dilution = {
    id: 'a',
    op: 'dilute',
    from: { value: 10, unit: '{fold}' },
    to: { value: 1, unit: '{fold}' },
    volume: { value: 1, unit: 'L' },
  };
  const buffer = {
    id: 'a',
    op: 'buffer',
    acid: { formula: 'KH2PO4' },
    base: { formula: 'Na2HPO4' },
    pKa: 7.21,
    pH: 6.8,
    total: { value: 50, unit: 'mmol/L' },
    volume: { value: 1, unit: 'L' },
  };

  it('is neither of these', () => {
    expect(computeRecipe(dilution)).toEqual({ id: 'a', stockMl: 100, diluentMl: 900 });
    expect(computeRecipe(buffer)).toMatchObject({ id: 'a' });
  });

  it.each<[string, unknown, string, RegExp]>([
    ['nothing', null, 'malformed-case', /must be an object/],
    ['no operation', { id: 'a' }, 'malformed-case', /^op is missing/],
    ['an unknown operation', { id: 'a', op: 'constructor' }, 'malformed-case', /give one of molarMass, weigh/],
    ['a text for a value', { ...dilution, to: { value: '1', unit: '%' } }, 'malformed-case', /^to.value is "1"/],
    ['a misspelt unit', { ...dilution, to: { value: 1, units: '%' } }, 'malformed-case', /^to.units is not known/],
    ['a volume of nothing', { ...dilution, volume: { value: 0, unit: 'L' } }, 'bad-quantity', /^the volume is 0 L/],
    ['a mass for a volume', { ...dilution, volume: { value: 1, unit: 'g' } }, 'wrong-unit', /"g" is no unit of volume/],
    ['a negative target', { ...dilution, to: { value: -1, unit: '{fold}' } }, 'bad-quantity', /^the target is -1/],
    ['no pH', { ...buffer, pH: undefined }, 'malformed-case', /^pH is missing/],
    ['a pH of 15', { ...buffer, pH: 15 }, 'bad-buffer', /from 0 to 14/],
    ['a temperature alone', { ...buffer, temperatureCel: 37 }, 'malformed-case', /^pKaAtCel is missing/],
    ['a total by mass', { ...buffer, total: { value: 1, unit: 'g/L' } }, 'unit-mismatch', /"g\/L".*"mol\/L"/],
    ['no formula of the base', { ...buffer, base: {} }, 'malformed-case', /^base.formula is missing/],
  ])('has %s and says so', (_what, given, code, message) => {
    expect(() => computeRecipe(given)).toThrow(
      expect.objectContaining({ code, message: expect.stringMatching(message) }),
    );
  });
});
