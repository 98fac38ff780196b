import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { bufferComposition, pKaInSalt } from '../../../src/core/recipe/buffer.js';
import { molarMass } from '../../../src/core/recipe/formula.js';
import { convert } from '../../../src/core/recipe/quantity.js';
import { circleOf, type Recipe, scaleRecipe } from '../../../src/core/recipe/scale.js';
import {
  concentrationInMix,
  concentrationOf,
  concentrationOfLiquid,
  dilute,
  massToWeigh,
  serialDilution,
} from '../../../src/core/recipe/solution.js';

const q = (value: number, unit: string) => ({ value, unit });
const refusal = (code: string, message: RegExp) =>
  expect.objectContaining({ code, message: expect.stringMatching(message) });
const amount = fc.double({ min: 0.001, max: 1000, noNaN: true });

describe('convert', () => {
  // UCUM, https://ucum.org, table 1 and the prefixes.
  it.each([
    [1, 'mg/mL', 'ug/mL', 1000],
    [10, 'mmol/L', 'mol/L', 0.01],
    [250, 'mL', 'L', 0.25],
    [1, '[gal_us]', 'L', 3.785411784],
    [5, '%', '1', 0.05],
    [25, 'Cel', 'K', 298.15],
    [1, '%{w/v}', 'g/L', 10],
    [0.1, 'g/dL', '%{w/v}', 0.1],
    [3, "[arb'U]/mL", "[arb'U]/mL", 3],
  ])('%d %s in %s is %d, without noise', (value, from, to, expected) => {
    expect(convert(q(value, from), to)).toBe(expected);
  });

  it('leads from mass to amount by the molar mass', () => {
    expect(convert(q(1, 'g'), 'mmol', molarMass('NaCl'))).toBeCloseTo(1000 / 58.44, 3);
  });

  it.each([
    [
      'g',
      'mL',
      /"g" cannot be converted to "mL": "g" is a mass, such as g, "mL" is a volume, such as mL; give "mL" or/,
    ],
    ['g/L', 'mmol/L', /or the formula of the substance/],
    ['%', 'g/L', /or "%\{w\/v\}" if grams in 100 mL are meant/],
    ['{fold}', '%', /give both in "%", or both in "\{fold\}"/],
    ['%{vol}', '%', /give both in/],
    ['%{w/v}', '%{vol}', /is a mass in a volume/],
    ["[arb'U]/mL", '[IU]/mL', /cannot be converted/],
  ])('refuses %s for %s and names both', (from, to, message) => {
    expect(() => convert(q(1, from), to)).toThrow(refusal('unit-mismatch', message));
  });

  it.each([
    ['spoon', 'g', /"spoon" is not a UCUM code; write one such as/],
    ['g', 'M', /"M" is not a UCUM code; write "mol\/L"/],
    ['constructor', 'g', /not a UCUM code/],
  ])('refuses %s for %s', (from, to, message) => {
    expect(() => convert(q(1, from), to)).toThrow(refusal('wrong-unit', message));
  });

  it('comes back to where it started', () => {
    const unit = fc.constantFrom('g/L', 'mg/mL', 'ug/mL', 'g/dL', '%{w/v}', 'kg/m3');
    fc.assert(
      fc.property(amount, unit, unit, (value, from, to) => {
        expect(convert(q(convert(q(value, from), to), to), from) / value).toBeCloseTo(1, 12);
      }),
    );
  });
});

describe('dilute', () => {
  it('pours stock and diluent that make up the volume and hold the target', () => {
    fc.assert(
      fc.property(amount, fc.double({ min: 0.001, max: 1, noNaN: true }), amount, (strength, part, volume) => {
        const { stockMl, diluentMl } = dilute(q(strength, 'g/L'), q(strength * part, 'g/L'), q(volume, 'mL'));
        expect(stockMl + diluentMl).toBeCloseTo(volume, 9);
        expect((stockMl * strength) / volume / (strength * part)).toBeCloseTo(1, 9);
        expect(diluentMl).toBeGreaterThanOrEqual(0);
      }),
    );
  });

  // 10 mg/mL of acridine orange hydrochloride (301.82 g/mol) for 50 mL of 0.6 mmol/L: 0.905 mL by C1 V1 = C2 V2.
  it('leads from mass to amount by the formula', () => {
    const { stockMl } = dilute(q(10, 'mg/mL'), q(0.6, 'mmol/L'), q(50, 'mL'), 'C17H19N3.HCl');
    expect(stockMl).toBeCloseTo(0.905, 3);
  });

  it('takes the stock as it is for its own strength, in another unit too', () => {
    expect(dilute(q(1, 'mg/mL'), q(1000, 'ug/mL'), q(20, 'mL'))).toEqual({ stockMl: 20, diluentMl: 0 });
  });

  it('refuses a target above the stock', () => {
    expect(() => dilute(q(70, '%'), q(95, '%'), q(500, 'mL'))).toThrow(
      refusal('stronger-than-stock', /95 % cannot be made from 70 %/),
    );
  });

  it('refuses what is no concentration', () => {
    expect(() => dilute(q(1, 'g'), q(0.5, 'g/L'), q(10, 'mL'))).toThrow(
      refusal('wrong-unit', /the stock, 1 g: "g" is no unit of concentration/),
    );
  });

  it('refuses a mass against an amount without the formula', () => {
    expect(() => dilute(q(10, 'mg/mL'), q(0.6, 'mmol/L'), q(50, 'mL'))).toThrow(
      refusal('unit-mismatch', /"mmol\/L" cannot be converted to "mg\/mL".*formula/),
    );
  });
});

describe('other solutions', () => {
  it('weighing and measuring undo each other', () => {
    fc.assert(
      fc.property(amount, amount, fc.constantFrom('NaCl', 'MgSO4.7H2O', 'C6H8O7.H2O'), (c, volume, formula) => {
        const g = massToWeigh(q(c, 'mmol/L'), q(volume, 'mL'), formula);
        expect(concentrationOf(q(g, 'g'), q(volume, 'mL'), 'mmol/L', formula) / c).toBeCloseTo(1, 10);
      }),
    );
  });

  it('a per cent that says nothing of weight is not weighed', () => {
    expect(() => massToWeigh(q(1, '%'), q(1, 'L'))).toThrow(refusal('unit-mismatch', /%\{w\/v\}/));
  });

  it.each([
    [0, 1.19],
    [37, 1.19],
    [0.37, 0],
    [Number.NaN, 1],
  ])('a liquid of mass fraction %d and density %d is refused', (fraction, density) => {
    expect(() => concentrationOfLiquid(fraction, density, 'g/L')).toThrow(refusal('bad-quantity', /give a/));
  });

  it('a part larger than the whole is refused', () => {
    expect(() => concentrationInMix(q(1, '%'), q(2, 'L'), q(200, 'mL'))).toThrow(refusal('bad-quantity', /2 L/));
  });

  it.each([
    [1, 3],
    [0.5, 3],
    [2, 0],
    [2, 1.5],
    [2, 1e9],
  ])('a series by %d in %d tubes is refused', (factor, tubes) => {
    expect(() => serialDilution(q(1, 'g/L'), factor, tubes, q(1, 'mL'))).toThrow(refusal('bad-quantity', /give a/));
  });

  it('a series ends at the strength that its factor says', () => {
    const tubes = serialDilution(q(1, 'mg/mL'), 10, 6, q(1, 'mL'));
    expect(tubes.at(-1)).toEqual({ concentration: q(1e-6, 'mg/mL'), transferMl: 0.1, diluentMl: 0.9 });
  });
});

describe('bufferComposition', () => {
  it('splits the total between both forms at any pH', () => {
    const acid = 'NaH2PO4.H2O';
    const base = 'Na2HPO4';
    fc.assert(
      fc.property(fc.double({ min: 5, max: 9, noNaN: true }), amount, (pH, total) => {
        const made = bufferComposition({
          acid,
          base,
          constant: { pKa: 7.21 },
          pH,
          total: q(total, 'mmol/L'),
          volume: q(1, 'L'),
        });
        const [acidMol, baseMol] = [made.acidG / molarMass(acid), made.baseG / molarMass(base)];
        expect((1000 * (acidMol + baseMol)) / total).toBeCloseTo(1, 9);
        expect(baseMol / acidMol / made.baseToAcid).toBeCloseTo(1, 9);
      }),
    );
  });

  it('refuses salt beyond the Davies equation', () => {
    expect(() => pKaInSalt(7.21, -1, 0.6)).toThrow(refusal('bad-buffer', /0 to 0\.5/));
  });
});

describe('scaleRecipe', () => {
  // 10 % neutral buffered formalin: 100 mL, 900 mL, 4.0 g, 6.5 g in a litre, common practice.
  const formalin: Recipe = {
    code: 'nbf',
    makes: q(1, 'L'),
    lines: [
      { takes: 'formaldehyde', amount: q(100, 'mL') },
      { takes: 'NaH2PO4.H2O', amount: q(4, 'g') },
      { takes: 'Na2HPO4', amount: q(6.5, 'g') },
      { takes: 'water', amount: q(1, 'L'), makeUpTo: true },
    ],
  };

  it('multiplies every line alike', () => {
    expect(scaleRecipe(formalin, q(2500, 'mL'))).toEqual({
      code: 'nbf',
      makes: q(2500, 'mL'),
      lines: [
        { takes: 'formaldehyde', amount: q(250, 'mL') },
        { takes: 'NaH2PO4.H2O', amount: q(10, 'g') },
        { takes: 'Na2HPO4', amount: q(16.25, 'g') },
        { takes: 'water', amount: q(2.5, 'L'), makeUpTo: true },
      ],
    });
  });

  it('keeps the concentration of what is weighed', () => {
    fc.assert(
      fc.property(amount, (volume) => {
        const { makes, lines } = scaleRecipe(formalin, q(volume, 'mL'));
        expect(concentrationOf(lines[1]!.amount, makes, 'g/L')).toBeCloseTo(4, 9);
      }),
    );
  });

  const tablets: Recipe = { code: 'pbs', makes: q(100, 'mL'), lines: [{ takes: 'tablet', amount: q(1, '{tablet}') }] };

  it('counts whole pieces only', () => {
    expect(scaleRecipe(tablets, q(500, 'mL')).lines[0]!.amount).toEqual(q(5, '{tablet}'));
    expect(() => scaleRecipe(tablets, q(250, 'mL'))).toThrow(refusal('broken-count', /would be 2\.5 \{tablet\}/));
  });

  it.each([
    ['g/L', /"g\/L" is no unit of volume/],
    ['%', /"%" is no unit of volume/],
    ['spoon', /not a UCUM code/],
  ])('refuses a line in %s', (unit, message) => {
    const recipe = { ...tablets, lines: [{ takes: 'salt', amount: q(1, unit) }] };
    expect(() => scaleRecipe(recipe, q(1, 'L'))).toThrow(refusal('wrong-unit', message));
  });
});

describe('circleOf', () => {
  const recipes = (takes: Record<string, string[]>) =>
    new Map(
      Object.entries(takes).map(([code, of]) => [
        code,
        { code, makes: q(1, 'L'), lines: of.map((name) => ({ takes: name, amount: q(1, 'mL') })) },
      ]),
    );

  it('finds a recipe that makes itself, however far round', () => {
    expect(circleOf('a', recipes({ a: ['a'] }))).toEqual(['a', 'a']);
    expect(circleOf('a', recipes({ a: ['x', 'b'], b: ['c'], c: ['y', 'a'] }))).toEqual(['a', 'b', 'c', 'a']);
  });

  it('finds none where a part is only used twice or another recipe goes round', () => {
    expect(circleOf('a', recipes({ a: ['b', 'c'], b: ['d'], c: ['d'], d: [] }))).toBeUndefined();
    expect(circleOf('a', recipes({ a: ['b'], b: ['c'], c: ['b'] }))).toBeUndefined();
  });
});
