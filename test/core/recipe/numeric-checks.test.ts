import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import { limitsOf, usableUntil } from '../../../src/core/lot/expiry.js';
import { baseToAcid, bufferPH, ionicStrength, pKaInSalt, pKaInUse } from '../../../src/core/recipe/buffer.js';
import { BUFFER_TABLES, pourFromTable, type Pouring } from '../../../src/core/recipe/buffer-tables.js';
import { molarMass } from '../../../src/core/recipe/formula.js';
import { convert } from '../../../src/core/recipe/quantity.js';
import {
  concentrationInMix,
  concentrationOf,
  concentrationOfLiquid,
  dilute,
  massToWeigh,
} from '../../../src/core/recipe/solution.js';
import { simulateFefo } from '../../../src/core/stock/fefo.js';
import { FORMULAE } from './formulae.js';

interface Check {
  id: string;
  what: string;
  inputs: Record<string, number> & Record<string, string>;
  expected: number | string;
  tolerance: number;
  unit: string;
  kind: string;
}

interface Row {
  pH: number;
  A_mL: number;
  B_mL: number;
  HCl_mL: number;
}

// Every check names its published source, whose citation stands in the file beside it.
const { numericChecks, molarMasses, bufferTables } = JSON.parse(
  readFileSync(new URL('../../vectors/numeric-checks.json', import.meta.url), 'utf8'),
) as {
  numericChecks: Check[];
  molarMasses: Record<string, number>;
  bufferTables: Record<'gomoriPhosphate' | 'sorensenPhosphate' | 'gomoriCitrate' | 'gomoriTris', { rows: Row[] }>;
};

const q = (value: number, unit: string) => ({ value, unit });
const formulaOf = (name: string) => FORMULAE[name] ?? name;
const moles = (g: number, name: string) => convert(q(g, 'g'), 'mol', molarMass(formulaOf(name)));
const mmolPerL = (gPerL: number, name: string) => concentrationOf(q(gPerL, 'g'), q(1, 'L'), 'mmol/L', formulaOf(name));
/** Of which substance a published molar mass is; where two share one to two decimals, either will do. */
const nameOf = (mass: number) => Object.keys(molarMasses).find((name) => molarMasses[name] === mass)!;
const mix = (value: number, unit: string, mL: number, totalMl: number) =>
  concentrationInMix(q(value, unit), q(mL, 'mL'), q(totalMl, 'mL'));

const phosphates = (acidMm: number, baseMm: number) =>
  ionicStrength([
    { molPerL: acidMm / 1000, charge: -1 },
    { molPerL: baseMm / 1000, charge: -2 },
    { molPerL: (acidMm + 2 * baseMm) / 1000, charge: 1 },
  ]);
const phosphatePH = (acid: number, base: number, strength: number) =>
  bufferPH(pKaInSalt(7.21, -1, strength), base / acid);
const TRIS = (usedAtCel: number) => pKaInUse({ pKa: 8.07, moves: { atCel: 25, perCel: -0.028, usedAtCel } });
const poured = (table: 'gomoriCitrate' | 'sorensenPhosphate', pH: number) => {
  const { firstMl, secondMl } = pourFromTable(BUFFER_TABLES[table], pH, q(100, 'mL'));
  return firstMl + secondMl;
};
const trisHcl = (HCl: number) => bufferPH(8.07, (50 - HCl) / HCl);

const nbf = { acid: mmolPerL(4, 'NaH2PO4.H2O'), base: mmolPerL(6.5, 'Na2HPO4') };
const pbs = { acid: mmolPerL(0.24, 'KH2PO4'), base: mmolPerL(1.44, 'Na2HPO4') };
const who = { acid: mmolPerL(2.1, 'KH2PO4'), base: mmolPerL(3.8, 'Na2HPO4.2H2O') };

/** Checks whose inputs alone do not say how to compute them. */
const BY_ID: Record<string, (inputs: Check['inputs']) => number> = {
  'dil-acid-alcohol-vv': ({ HCl_mL, ethanol70_mL }) => mix(100, '%', HCl_mL!, HCl_mL! + ethanol70_mL!),
  'dil-acid-alcohol-molar': ({ stock_M, mL, total_mL }) => mix(stock_M!, 'mol/L', mL!, total_mL!),
  'hcl-conc-molar': ({ w, density }) => concentrationOfLiquid(w!, density!, 'mol/L', 'HCl'),
  'hac-glacial-molar': ({ w, density }) => concentrationOfLiquid(w!, density!, 'mol/L', 'C2H4O2'),
  'acetic-1pct': ({ mL, stock_M }) => mix(stock_M!, 'mol/L', mL!, 1000),
  'saline-osm': () => 2 * mmolPerL(9, 'NaCl'),
  'pbs1x-total-po4': () => pbs.acid + pbs.base,
  'citrate10-trap-anh': ({ g_per_L }) => mmolPerL(g_per_L!, 'Na3citrate.2H2O'),
  'nbf-total-phosphate': () => nbf.acid + nbf.base,
  'nbf-ratio': () => nbf.base / nbf.acid,
  'nbf-hcho-wv': ({ stock_w, density, mL, total_mL }) =>
    mix(concentrationOfLiquid(stock_w!, density!, '%{w/v}'), '%{w/v}', mL!, total_mL!),
  'nbf-hcho-molar': ({ g_per_L }) => mmolPerL(g_per_L!, 'CH2O') / 1000,
  'scott-hydrate-ratio': () => molarMass('MgSO4.7H2O') / molarMass('MgSO4'),
  'harris-al-ratio': ({ alum_g, Hx_g }) => moles(alum_g!, 'KAl(SO4)2.12H2O') / moles(Hx_g!, 'haematoxylin'),
  'mayer-al-ratio': ({ alum_g, Hx_g }) => moles(alum_g!, 'KAl(SO4)2.12H2O') / moles(Hx_g!, 'haematoxylin'),
  'gill-al-ratio': ({ alsulf_g, Hx_g }) => (2 * moles(alsulf_g!, 'Al2(SO4)3.18H2O')) / moles(Hx_g!, 'haematoxylin'),
  'harris-hgo-fraction': ({ HgO_g, Hx_g }) => moles(HgO_g!, 'HgO') / moles(Hx_g!, 'haematoxylin'),
  'iodate-per-g-full': () => molarMass('NaIO3') / (3 * molarMass(formulaOf('haematoxylin'))),
  'mayer-hx-mM': ({ g }) => mmolPerL(g!, 'haematoxylin'),
  'eosin-working-wv': ({ g, total_mL }) => concentrationOf(q(g!, 'g'), q(total_mL!, 'mL'), '%{w/v}'),
  'eosin-working-etoh': ({ mL95, total }) => mix(95, '%', mL95!, total!),
  'eosin-stock-etoh': ({ mL95, total }) => mix(95, '%', mL95!, total!),
  'eosin-1pct-molar': ({ g_per_L }) => mmolPerL(g_per_L!, 'eosin Y disodium'),
  'ao-1mgml-mM-HCl': ({ mgml }) => mmolPerL(mgml!, 'acridine orange HCl'),
  'ao-03mgml-mM-base': ({ mgml }) => mmolPerL(mgml!, 'acridine orange base'),
  'ao-weigh': ({ mM, mL }) =>
    1000 * massToWeigh(q(mM!, 'mmol/L'), q(mL!, 'mL'), formulaOf('acridine orange hemi(ZnCl2) salt')),
  'perls-final-hcl': ({ stock }) => mix(stock!, 'mol/L', 50, 100),
  'gms-stock-agno3': ({ pct, mL, total }) => mix(pct!, '%{w/v}', mL!, total!),
  'gms-work-agno3': ({ stock_pct, mL, total }) => mix(stock_pct!, '%{w/v}', mL!, total!),
  'cf-who-fuchsin': ({ pct, mL, total }) => mix(pct!, '%{w/v}', mL!, total!),
  'cf-who-phenol': ({ pct, mL, total }) => mix(pct!, '%{w/v}', mL!, total!),
  'cf-qap-fuchsin': ({ g, total }) => concentrationOf(q(g!, 'g'), q(total!, 'mL'), '%{w/v}'),
  'mb-qap': ({ stock_pct, mL, total }) => mix(stock_pct!, '%{w/v}', mL!, total!),
  'who-buf-ratio': () => who.base / who.acid,
  'hh-phos-50-50': ({ ratio }) => bufferPH(7.21, ratio!),
  'hh-nbf-ideal': ({ ratio }) => bufferPH(7.21, ratio!),
  'hh-pbs-ideal': ({ ratio }) => bufferPH(7.21, ratio!),
  'nbf-ionic': () => phosphates(nbf.acid, nbf.base),
  'hh-nbf-davies': ({ I }) => phosphatePH(nbf.acid, nbf.base, I!),
  'hh-pbs-davies': ({ I }) => phosphatePH(pbs.acid, pbs.base, I!),
  'hh-who-buf': () => phosphatePH(who.acid, who.base, phosphates(who.acid, who.base)),
  'pka2-eff': ({ I }) => pKaInSalt(7.21, -1, I!),
  'tris-76-protonated': ({ pH, pKa }) => 1 / (1 + baseToAcid(pH!, pKa!)),
  'tris-76-hcl': ({ Tris_M, pH, pKa, HCl_M }) => (Tris_M! / (1 + baseToAcid(pH!, pKa!)) / HCl_M!) * 1000,
  'tris-76-at-4': ({ pH25, T }) => pH25! + TRIS(T!) - TRIS(25),
  'tris-76-at-37': ({ pH25, T }) => pH25! + TRIS(T!) - TRIS(25),
  'tab-cit-conc': ({ mL, M, total }) => mix(M!, 'mol/L', mL!, total!),
  'retrieval-9-41': ({ mL, M, total }) => convert(q(mix(M!, 'mol/L', mL!, total!), 'mol/L'), 'mmol/L'),
  'tab-cit-sum-4.0': () => poured('gomoriCitrate', 4),
  'tab-cit-sum-5.0': () => poured('gomoriCitrate', 5),
  'tab-cit-sum-5.6': () => poured('gomoriCitrate', 5.6),
  'tab-cit-sum-6.2': () => poured('gomoriCitrate', 6.2),
  'tab-sor-6.8-sum': () => poured('sorensenPhosphate', 6.8),
  'stock-life': ({ mL, perDay }) => {
    const lots = [{ lot: 'a', quantity: mL!, lastDay: 999, arrives: 0 }];
    return simulateFefo(lots, Array<number>(60).fill(perDay!)).unmet[0]!.day;
  },
};

function compute({ id, inputs, kind, unit, what }: Check): number | string {
  const own = BY_ID[id];
  if (own) return own(inputs);
  if (kind === 'molar-mass') return molarMass(formulaOf(inputs.formula!));
  if (inputs.C1 !== undefined) {
    const volume = q(inputs.V2!, unit);
    return convert(q(dilute(q(inputs.C1, '{fold}'), q(inputs.C2!, '{fold}'), volume).stockMl, 'mL'), unit);
  }
  if (inputs.molarMass !== undefined) {
    const formula = formulaOf(nameOf(inputs.molarMass));
    return concentrationOf(q(inputs.g!, 'g'), q(inputs.volume_L!, 'L'), unit, formula);
  }
  if (kind === 'mass') {
    return convert(q(inputs.mM!, 'mmol/L'), 'mg/mL', molarMass(formulaOf(nameOf(inputs.mm!))));
  }
  if (inputs.NaIO3_g !== undefined) return (3 * moles(inputs.NaIO3_g, 'NaIO3')) / moles(inputs.Hx_g!, 'haematoxylin');
  if (inputs.pKaEff !== undefined) return bufferPH(inputs.pKaEff, inputs.B! / inputs.A!);
  if (inputs.HCl !== undefined) return trisHcl(inputs.HCl);
  if (inputs.pKa25 !== undefined) return TRIS(inputs.T!);
  if (id === 'hh-phos-74-ratio') return baseToAcid(inputs.pH!, inputs.pKa!);
  if (inputs.opened !== undefined) {
    const opened = { at: `${inputs.opened}T12:00:00.000Z`, life: `P${inputs.openDays}D` };
    const until = usableUntil(limitsOf({ expiry: inputs.expiry!, opened }, 'UTC'))!;
    return new Date(Date.parse(until) - 1).toISOString().slice(0, 10);
  }
  throw new Error(`no way to compute "${what}"`);
}

describe('published figures of stains and their solutions', () => {
  it('are all here', () => expect(numericChecks).toHaveLength(129));

  it.each(numericChecks)('$id: $what', (check) => {
    const computed = compute(check);
    if (typeof check.expected === 'string') expect(computed).toBe(check.expected);
    else expect(Math.abs(Number(computed) - check.expected)).toBeLessThanOrEqual(check.tolerance);
  });
});

// Sums of IUPAC atomic weights, printed to two decimals; 0.05 g/mol covers older tables of weights.
describe('published molar masses', () => {
  it('are all here', () => expect(Object.keys(molarMasses)).toHaveLength(53));

  it.each(Object.entries(molarMasses))('of %s is %d', (name, mass) => {
    expect(Math.abs(molarMass(formulaOf(name)) - mass)).toBeLessThanOrEqual(0.05);
  });
});

// Gomori 1955 states his tables to within 0.05 pH at 23 Cel; effective pKa values as in the checks above, to within 0.1.
describe('published buffer tables', () => {
  const { gomoriPhosphate, sorensenPhosphate, gomoriCitrate, gomoriTris } = bufferTables;
  const pH = (pKa: number, { firstMl, secondMl }: Pouring) => bufferPH(pKa, secondMl / firstMl);

  it.each(gomoriPhosphate.rows)('Gomori phosphate of pH $pH', (row) => {
    const pouring = pourFromTable(BUFFER_TABLES.gomoriPhosphate, row.pH, q(200, 'mL'));
    expect(pouring).toEqual({ firstMl: row.A_mL, secondMl: row.B_mL, waterMl: 100 });
    expect(Math.abs(pH(6.8, pouring) - row.pH)).toBeLessThan(0.1);
  });

  it.each(sorensenPhosphate.rows)('Sorensen phosphate of pH $pH', (row) => {
    const pouring = pourFromTable(BUFFER_TABLES.sorensenPhosphate, row.pH, q(100, 'mL'));
    expect(pouring).toEqual({ firstMl: row.A_mL, secondMl: row.B_mL, waterMl: 0 });
    expect(Math.abs(pH(6.82, pouring) - row.pH)).toBeLessThan(0.1);
  });

  it.each(gomoriTris.rows)('Gomori Tris of pH $pH', (row) => {
    const pouring = pourFromTable(BUFFER_TABLES.gomoriTris, row.pH, q(200, 'mL'));
    expect(pouring).toMatchObject({ firstMl: row.HCl_mL, secondMl: 50 });
    expect(Math.abs(trisHcl(pouring.firstMl) - row.pH)).toBeLessThan(0.1);
  });

  it.each(gomoriCitrate.rows.filter(({ A_mL, B_mL }) => A_mL + B_mL < 50.05))('Gomori citrate of pH $pH', (row) => {
    const pouring = pourFromTable(BUFFER_TABLES.gomoriCitrate, row.pH, q(1, 'L'));
    expect(pouring.firstMl).toBeCloseTo(10 * row.A_mL, 9);
    expect(pouring.secondMl).toBeCloseTo(10 * row.B_mL, 9);
    expect(pouring.waterMl).toBeCloseTo(500, 9);
  });

  // The row circulates as 9.5 + 41.5 mL; every other row adds up to 50 mL, and so do its neighbours' means.
  it('Gomori citrate of pH 6.0 is not taken from its misprinted row', () => {
    const { firstMl, secondMl } = pourFromTable(BUFFER_TABLES.gomoriCitrate, 6, q(100, 'mL'));
    expect([firstMl, secondMl]).toEqual([9.5, 40.5]);
  });

  it('end where they end', () => {
    expect(() => pourFromTable(BUFFER_TABLES.gomoriTris, 6.9, q(1, 'L'))).toThrow(
      /no pH 6\.9; give one from 7\.2 to 9/,
    );
  });
});
