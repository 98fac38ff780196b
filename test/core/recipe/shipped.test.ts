import { beforeAll, describe, expect, it } from '@jest/globals';
import { readFileSync } from 'node:fs';
import type { WrittenRecipe } from '../../../src/core/recipe/recipe.js';
import { checkRecipes } from '../../../src/core/recipe/check.js';
import { worksheet, type WorksheetLine } from '../../../src/core/recipe/worksheet.js';
import { convert } from '../../../src/core/recipe/quantity.js';
import { molarMass } from '../../../src/core/recipe/formula.js';
import { readFolder, type ProtocolFolder } from '../../../src/modules/protocols/read-file.js';

// Published figures; each check names its own source, whose citation stands in the file beside it.
const { numericChecks } = JSON.parse(readFileSync('test/vectors/numeric-checks.json', 'utf8')) as {
  numericChecks: { id: string; expected: number; tolerance: number }[];
};
const published = new Map(numericChecks.map((check) => [check.id, check]));

let folder: ProtocolFolder;

beforeAll(async () => {
  const read = await readFolder('protocols');
  if ('problems' in read) {
    throw new Error(read.problems.map((p) => `${p.file}:${p.line}:${p.column} ${p.message}`).join('\n'));
  }
  folder = read;
});

function recipe(code: string): WrittenRecipe {
  const found = folder.recipes.find((each) => each.code === code);
  if (!found) throw new Error(`no recipe ${code}`);
  return found;
}

const lineOf = (code: string, takes: string, value?: number, unit = 'mL'): WorksheetLine => {
  const written = recipe(code);
  const lines = worksheet(written, value === undefined ? written.makes : { value, unit });
  const found = lines.find((each) => each.takes === takes);
  if (!found) throw new Error(`${code} takes no ${takes}`);
  return found;
};
const grams = ({ amount }: WorksheetLine): number => convert(amount, 'g');
const mL = ({ amount }: WorksheetLine): number => convert(amount, 'mL');

describe('the shipped recipes', () => {
  it('are right as a whole and name only what the catalogue holds', () => {
    expect(checkRecipes(folder.recipes, folder)).toEqual([]);
    expect(folder.recipes.length).toBeGreaterThanOrEqual(40);
  });

  // What each solution of the published list must hold, as its recipe makes it.
  it.each<[string, () => number]>([
    ['nbf-nah2po4', () => lineOf('nbf-10', 'sodium-dihydrogen-phosphate-monohydrate').mmolPerL!],
    ['nbf-na2hpo4', () => lineOf('nbf-10', 'disodium-hydrogen-phosphate').mmolPerL!],
    ['scott-nahco3', () => lineOf('scotts-substitute', 'sodium-hydrogen-carbonate').mmolPerL!],
    ['scott-khco3', () => lineOf('scotts-substitute-potassium', 'potassium-hydrogen-carbonate').mmolPerL!],
    ['scott-mgso4-7', () => lineOf('scotts-substitute', 'magnesium-sulphate-heptahydrate').mmolPerL!],
    ['scott-mgso4-anh', () => lineOf('scotts-substitute-anhydrous', 'magnesium-sulphate').mmolPerL!],
    [
      'dil-acid-alcohol-vv',
      () =>
        (100 * mL(lineOf('acid-alcohol-1', 'hydrochloric-acid-37'))) / convert(recipe('acid-alcohol-1').makes, 'mL'),
    ],
    ['harris-hx', () => lineOf('harris-haematoxylin', 'haematoxylin').mmolPerL!],
    ['harris-alum', () => lineOf('harris-haematoxylin', 'potassium-alum').mmolPerL!],
    [
      'harris-al-ratio',
      () =>
        lineOf('harris-haematoxylin', 'potassium-alum').mmolPerL! /
        lineOf('harris-haematoxylin', 'haematoxylin').mmolPerL!,
    ],
    [
      'harris-iodate-fraction',
      () =>
        (3 * lineOf('harris-haematoxylin', 'sodium-iodate').mmolPerL!) /
        lineOf('harris-haematoxylin', 'haematoxylin').mmolPerL!,
    ],
    [
      'harris-hgo-fraction',
      () =>
        lineOf('harris-haematoxylin-mercuric', 'mercuric-oxide').mmolPerL! /
        lineOf('harris-haematoxylin-mercuric', 'haematoxylin').mmolPerL!,
    ],
    ['mayer-hx-mM', () => lineOf('mayer-haematoxylin', 'haematoxylin').mmolPerL!],
    [
      'mayer-al-ratio',
      () =>
        lineOf('mayer-haematoxylin', 'potassium-alum').mmolPerL! /
        lineOf('mayer-haematoxylin', 'haematoxylin').mmolPerL!,
    ],
    [
      'gill-al-ratio',
      () =>
        (2 * lineOf('gill-1-haematoxylin', 'aluminium-sulphate-octadecahydrate').mmolPerL!) /
        lineOf('gill-1-haematoxylin', 'haematoxylin').mmolPerL!,
    ],
    [
      'gill-iodate-fraction',
      () =>
        (3 * lineOf('gill-1-haematoxylin', 'sodium-iodate').mmolPerL!) /
        lineOf('gill-1-haematoxylin', 'haematoxylin').mmolPerL!,
    ],
    ['eosin-1pct-molar', () => lineOf('eosin-y-1-stock', 'eosin-y').mmolPerL!],
    ['pbs1x-nacl', () => lineOf('pbs-10x', 'sodium-chloride').mmolPerL! / 10],
    ['pbs1x-kcl', () => lineOf('pbs-10x', 'potassium-chloride').mmolPerL! / 10],
    ['pbs1x-na2hpo4', () => lineOf('pbs-10x', 'disodium-hydrogen-phosphate').mmolPerL! / 10],
    ['pbs1x-kh2po4', () => lineOf('pbs-10x', 'potassium-dihydrogen-phosphate').mmolPerL! / 10],
    ['dil-pbs-10x-1x', () => mL(lineOf('pbs', 'pbs-10x'))],
    ['tbs-nacl', () => lineOf('tbs', 'sodium-chloride').mmolPerL!],
    ['tbs-tris-50', () => lineOf('tbs', 'tris').mmolPerL!],
    ['tris-76-hcl', () => mL(lineOf('tbs', 'hydrochloric-acid-37'))],
    ['citrate10-na3', () => lineOf('retrieval-buffer-citrate', 'trisodium-citrate-dihydrate').mmolPerL!],
    ['citrate10-acid', () => lineOf('retrieval-buffer-citric', 'citric-acid-monohydrate').mmolPerL!],
    ['schiff-k2s2o5', () => lineOf('schiff-reagent', 'potassium-metabisulphite-solid').mmolPerL!],
    ['saline-154', () => lineOf('saline', 'sodium-chloride').mmolPerL!],
    ['periodic-05', () => lineOf('periodic-acid', 'orthoperiodic-acid').mmolPerL!],
    ['periodic-1', () => lineOf('periodic-acid-1', 'orthoperiodic-acid').mmolPerL!],
    ['dil-etoh-80-from-95', () => mL(lineOf('ethanol-80', 'ethanol-95'))],
    ['dil-etoh-70-from-95', () => mL(lineOf('ethanol-70', 'ethanol-95'))],
    ['dil-etoh-50-from-95', () => mL(lineOf('ethanol-50', 'ethanol-95'))],
    ['dil-etoh-95-from-100', () => mL(lineOf('ethanol-95', 'ethanol-100'))],
    ['dil-etoh-70-from-100', () => mL(lineOf('ethanol-70-of-absolute', 'ethanol-100'))],
    ['ao-weigh', () => convert(lineOf('acridine-orange-working', 'acridine-orange-hemi-zinc-chloride').amount, 'mg')],
    ['dil-ao-stock', () => mL(lineOf('acridine-orange-of-stock', 'acridine-orange-stock'))],
    ['dil-giemsa-1in10', () => mL(lineOf('giemsa-working', 'giemsa-stock'))],
    ['dil-mg-1in2', () => mL(lineOf('may-gruenwald-working', 'may-gruenwald-stock'))],
    ['dil-h2o2-30-to-3', () => mL(lineOf('hydrogen-peroxide-3', 'hydrogen-peroxide-30'))],
    ['ferrocyanide-2', () => lineOf('potassium-ferrocyanide-2', 'potassium-ferrocyanide-trihydrate').mmolPerL!],
    ['silver-10', () => lineOf('silver-nitrate-10', 'silver-nitrate').mmolPerL!],
    ['chromic-5', () => lineOf('chromic-acid-5', 'chromium-trioxide').mmolPerL!],
    ['thiosulphate-5', () => lineOf('sodium-thiosulphate', 'sodium-thiosulphate-pentahydrate').mmolPerL!],
    ['gms-stock-agno3', () => (5 * mL(lineOf('methenamine-silver-stock', 'silver-nitrate-5'))) / 105],
    ['gms-work-agno3', () => (0.2381 * mL(lineOf('methenamine-silver-working', 'methenamine-silver-stock'))) / 52],
    ['cf-who-fuchsin', () => (3 * mL(lineOf('carbol-fuchsin', 'basic-fuchsin-3'))) / 100],
    ['cf-who-phenol', () => (5 * mL(lineOf('carbol-fuchsin', 'phenol-5'))) / 100],
    ['mb-qap', () => (1.4 * mL(lineOf('methylene-blue-working', 'methylene-blue-1-4'))) / 100],
    ['eosin-working-wv', () => mL(lineOf('eosin-y-alcoholic', 'eosin-y-1-stock')) / 804],
    ['eosin-stock-etoh', () => (95 * mL(lineOf('eosin-y-1-alcoholic', 'ethanol-95'))) / 100],
    [
      'who-buf-ratio',
      () =>
        lineOf('buffered-water', 'disodium-hydrogen-phosphate-dihydrate').mmolPerL! /
        lineOf('buffered-water', 'potassium-dihydrogen-phosphate').mmolPerL!,
    ],
  ])('%s', (id, found) => {
    const check = published.get(id)!;
    expect(Math.abs(found() - check.expected)).toBeLessThanOrEqual(check.tolerance);
  });

  it('weighs another hydrate or salt of a substance by as many moles', () => {
    const { instead, amount } = lineOf('nbf-10', 'disodium-hydrogen-phosphate', 250);
    expect(amount).toEqual({ value: 1.625, unit: 'g' });
    const dodeca = instead.find(({ formula }) => formula === 'Na2HPO4.12H2O')!;
    expect(dodeca.amount.value).toBeCloseTo((1.625 * molarMass('Na2HPO4.12H2O')) / molarMass('Na2HPO4'), 10);
    // Published: 18.1 mg of the hydrochloride, 15.9 mg of the base for 100 mL of 0.6 mmol/L.
    const ao = lineOf('acridine-orange-working', 'acridine-orange-hemi-zinc-chloride');
    expect(ao.instead.map((other) => Math.round(other.amount.value * 10) / 10)).toEqual([18.1, 15.9]);
  });

  it('reckons a buffer for the temperature at which it is used', () => {
    const tris = recipe('tris-buffer');
    const ratio = (usedAtCel: number) => {
      const [acid, base] = worksheet(tris, tris.makes, { usedAtCel });
      return grams(base!) / molarMass('C4H11NO3') / (grams(acid!) / molarMass('C4H12ClNO3'));
    };
    // Published: of Tris made 7.6 at 25 Cel 0.74691 is protonated (pKa 8.07); the pKa falls by 0.028 a degree.
    expect(1 / (1 + ratio(25))).toBeCloseTo(published.get('tris-76-protonated')!.expected, 4);
    expect(ratio(37)).toBeCloseTo(10 ** (7.6 - published.get('tris-pka-37')!.expected), 6);
  });
});
