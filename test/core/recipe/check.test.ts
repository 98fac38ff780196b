import { describe, expect, it } from '@jest/globals';
import { checkRecipes } from '../../../src/core/recipe/check.js';
import type { WrittenRecipe } from '../../../src/core/recipe/recipe.js';
import { worksheet } from '../../../src/core/recipe/worksheet.js';
import type { Reagent } from '../../../src/core/protocol/protocol.js';

const reagents: Reagent[] = [
  { code: 'water', name: 'Water', kind: 'water' },
  { code: 'salt', name: 'Salt', kind: 'solution', unit: 'g' },
  { code: 'brine', name: 'Brine', kind: 'solution' },
  { code: 'weak-brine', name: 'Weak brine', kind: 'solution' },
];
const brine = (changes: Partial<WrittenRecipe> = {}): WrittenRecipe => ({
  code: 'brine',
  name: 'Brine',
  reagent: 'brine',
  makes: { value: 1, unit: 'L' },
  lines: [
    { takes: 'salt', amount: { value: 10, unit: 'g' }, formula: 'NaCl' },
    { takes: 'water', makeUpTo: true },
  ],
  life: { duration: 'P1M', status: 'proposal' },
  status: 'proposal',
  sources: [],
  ...changes,
});
const faults = (...recipes: WrittenRecipe[]) =>
  checkRecipes(recipes, { reagents }).map(({ path, code }) => `${path.join('/')} ${code}`);

describe('a recipe', () => {
  it('is refused with the place of everything that is wrong', () => {
    expect(faults(brine())).toEqual([]);
    expect(faults(brine(), brine())).toContain('recipes/1/code duplicate');
    expect(faults(brine({ reagent: 'brien' }))).toEqual(['recipes/0/reagent unknown-reagent']);
    const line = (first: WrittenRecipe['lines'][0]) => faults(brine({ lines: [first] }));
    expect(line({ takes: 'salt' })).toEqual(['recipes/0/lines/0 amount']);
    expect(line({ takes: 'salt', amount: { value: 1, unit: 'g' }, makeUpTo: true })).toEqual([
      'recipes/0/lines/0 amount',
    ]);
    // Grams in the stock and millilitres in the recipe: the ledger could not book it.
    expect(line({ takes: 'salt', amount: { value: 1, unit: 'mL' } })).toEqual(['recipes/0/lines unit-mismatch']);
    expect(line({ takes: 'salt', amount: { value: 1, unit: 'kilo' } })).toEqual(['recipes/0/lines wrong-unit']);
    expect(line({ takes: 'salt', amount: { value: -1, unit: 'g' } })).toEqual(['recipes/0/lines bad-quantity']);
    expect(line({ takes: 'salt', amount: { value: 1, unit: 'g' }, formula: 'NaXx' })).toEqual([
      'recipes/0/lines/0/formula bad-formula',
    ]);
    expect(line({ takes: 'salt', weigh: { value: 1, unit: 'mmol/L' } })).toEqual(['recipes/0/lines unit-mismatch']);
    const stronger = { from: { value: 1, unit: '%' }, to: { value: 2, unit: '%' } };
    expect(line({ takes: 'weak-brine', dilute: stronger })).toEqual(['recipes/0/lines stronger-than-stock']);
    const reading = { id: 'ph', what: 'pH', status: 'proposal' } as const;
    expect(faults(brine({ readings: [{ ...reading, unit: '[pH]' }] }))).toEqual(['recipes/0/readings/0/min reading']);
    expect(faults(brine({ readings: [{ ...reading, unit: '[pH]', min: 8, max: 7 }] }))).toEqual([
      'recipes/0/readings/0/min reading',
    ]);
    expect(faults(brine({ readings: [{ ...reading, min: 7 }] }))).toEqual(['recipes/0/readings/0/unit reading']);
    expect(faults(brine({ life: { duration: 'P1DT1H', status: 'proposal' } }))).toEqual([
      'recipes/0/life/duration bad-life',
    ]);
  });

  it('is refused when it makes itself, directly or by way of another', () => {
    const ofItself = brine({ lines: [{ takes: 'brine', amount: { value: 1, unit: 'mL' } }] });
    expect(faults(ofItself)).toEqual(['recipes/0/lines circle']);
    const weak = brine({
      code: 'weak',
      reagent: 'weak-brine',
      lines: [{ takes: 'brine', amount: { value: 1, unit: 'mL' } }],
    });
    const ofWeak = brine({ lines: [{ takes: 'weak-brine', amount: { value: 1, unit: 'mL' } }] });
    expect(faults(brine(), weak)).toEqual([]);
    expect(faults(ofWeak, weak)).toEqual(['recipes/0/lines circle', 'recipes/1/lines circle']);
    const [problem] = checkRecipes([ofWeak, weak], { reagents });
    expect(problem?.message).toContain('brine, of weak-brine, of brine');
  });

  it('gives for each amount what needs no reason, and none for what is made up to', () => {
    const [salt, water] = worksheet(brine({ tolerance: 5 }), { value: 200, unit: 'mL' });
    expect(salt).toMatchObject({ line: 1, amount: { value: 2, unit: 'g' }, within: { least: 1.9, most: 2.1 } });
    expect(water).toMatchObject({ amount: { value: 200, unit: 'mL' }, makeUpTo: true, within: null });
    expect(worksheet(brine(), { value: 200, unit: 'mL' })[0]?.within).toEqual({ least: 1.96, most: 2.04 });
    expect(() => worksheet(brine(), { value: 200, unit: 'g' })).toThrow('volume');
    expect(() => worksheet(brine(), { value: 0, unit: 'mL' })).toThrow('above 0');
  });
});
