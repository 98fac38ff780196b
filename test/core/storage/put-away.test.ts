import { describe, expect, it } from '@jest/globals';
import type { Reagent } from '../../../src/core/protocol/protocol.js';
import { CLASHES, clashesOf } from '../../../src/core/storage/classes.js';
import { celsiusOf, checkPlace, isOutside, type Place, unkept } from '../../../src/core/storage/place.js';
import { putAwayProblems, type Stored, type WaterCheck } from '../../../src/core/storage/put-away.js';

const reagent = (code: string, changes: Partial<Reagent> = {}): Reagent => ({
  code,
  name: code,
  kind: 'solution',
  ...changes,
});
const thing = (code: string, changes: Partial<Reagent> = {}): Stored => ({
  label: `bottle of ${code}`,
  reagent: reagent(code, changes),
});
const place = (changes: Partial<Place> = {}): Place => ({
  ...{ code: 'SHELF', name: 'the shelf', min: 15, max: 25, dark: false, classes: null, apart: false },
  ...changes,
});
const NOW = '2026-11-25T09:00:00.000Z';
const codes = (one: Stored, there: Stored[] = [], into = place(), water?: WaterCheck, places = [into]) =>
  putAwayProblems({ thing: one, place: into, there, places, ...(water && { water }) }, NOW).map(({ code }) => code);

const ETHANOL = thing('ethanol', { storageClasses: ['flammable'] });
const PERIODIC = thing('periodic acid', { storageClasses: ['oxidiser', 'acid'] });
const AMMONIA = thing('ammonia', { storageClasses: ['base'] });
const PICRIC = thing('picric acid', { special: 'picric acid', storageClasses: ['desensitised explosive'] });
const SILVER = thing('ammoniacal silver', { special: 'ammoniacal silver' });

describe('What must not be stored together', () => {
  // UN GHS Annex 3, P220 for H271 and H272 (from memory): kept away from combustible materials.
  it('names an oxidiser beside a flammable, whichever comes second', () => {
    expect(codes(PERIODIC, [ETHANOL])).toEqual(['stored-together']);
    expect(codes(ETHANOL, [PERIODIC])).toEqual(['stored-together']);
    expect(codes(ETHANOL, [thing('xylene', { storageClasses: ['flammable'] })])).toEqual([]);
  });

  // Regulation (EC) 1272/2008 Annex II, EUH031 and EUH032 (from memory): acids set toxic gas free.
  it('names an acid beside a sulphite or an azide', () => {
    expect(clashesOf(['acid'], ['sulphite'])[0]?.source).toContain('EUH031');
    expect(clashesOf(['azide'], ['acid'])[0]?.source).toContain('EUH032');
  });

  it('says why, by which rule or that there is none, and where it would be right', () => {
    const cabinet = place({ code: 'OX', name: 'the oxidiser cupboard', classes: ['oxidiser', 'acid'] });
    const [found] = putAwayProblems(
      { thing: PERIODIC, place: place(), there: [ETHANOL], places: [place(), cabinet] },
      NOW,
    );
    expect(found?.message).toMatch(/feeds a fire.*P220.*put it into the oxidiser cupboard/);
    for (const { source } of CLASHES) expect(source).toMatch(/GHS|1272\/2008|common practice, no source/);
  });

  it('names every neighbour that it clashes with, once each', () => {
    expect(codes(PERIODIC, [ETHANOL, AMMONIA])).toEqual(['stored-together', 'stored-together']);
  });

  it('keeps to what a place is meant for; what says nothing is general', () => {
    const flammables = place({ classes: ['flammable'] });
    expect(codes(ETHANOL, [], flammables)).toEqual([]);
    expect(codes(thing('saline'), [], flammables)).toEqual(['class-not-there']);
    expect(codes(thing('saline'), [], place({ classes: ['flammable'], apart: true }))).toEqual([]);
  });
});

// Common practice, no source: dry picric acid and aged ammoniacal silver explode.
describe('What explodes when it is kept wrongly', () => {
  const water = (changes: Partial<WaterCheck> = {}): WaterCheck => ({
    ...{ wet: true, at: '2026-06-01T09:00:00.000Z', due: '2026-12-02T00:00:00.000Z' },
    ...changes,
  });

  it('lets picric acid be put away until its water check is due, that instant excluded', () => {
    expect(codes(PICRIC, [], place(), water())).toEqual([]);
    expect(codes(PICRIC, [], place(), water({ due: NOW }))).toEqual(['picric-unchecked']);
    expect(codes(PICRIC, [], place(), water({ due: '2026-11-25T09:00:00.001Z' }))).toEqual([]);
    expect(codes(PICRIC, [], place(), water({ wet: false }))).toEqual(['picric-dry']);
  });

  it('never lets ammoniacal silver be put away, not even apart', () => {
    expect(codes(SILVER)).toEqual(['silver-stored']);
    expect(codes(SILVER, [], place({ apart: true }))).toEqual(['silver-stored']);
  });
});

describe('Temperature and light', () => {
  it('wants a place whose limits lie within those of the reagent', () => {
    const fridge = place({ min: 2, max: 8, dark: true });
    expect(unkept({ min: 2, max: 8 }, fridge)).toEqual([]);
    expect(unkept({ min: 2, max: 8 }, place({ min: 2, max: 8.5 }))).toHaveLength(1);
    expect(unkept({ max: 25 }, place({ min: null, max: null }))).toHaveLength(1);
    expect(unkept({ dark: true }, place())).toEqual([expect.stringContaining('not dark')]);
    expect(codes(thing('antibody', { storage: { min: 2, max: 8, status: 'from memory' } }))).toEqual([
      'conditions-not-kept',
    ]);
    expect(
      codes(thing('antibody', { storage: { min: 2, max: 8, status: 'from memory' } }), [], place({ apart: true })),
    ).toEqual([]);
  });

  it('counts the ends of the limits as inside', () => {
    const fridge = { min: 2, max: 8 };
    expect([1.99, 2, 8, 8.01].map((celsius) => isOutside(celsius, fridge))).toEqual([true, false, false, true]);
    expect(isOutside(40, { min: null, max: null })).toBe(false);
    expect(() => checkPlace({ min: 8, max: 2 })).toThrow('exchange them');
  });

  // UCUM: 273.15 K is 0 Cel, 39.2 [degF] is 4 Cel.
  it('reads temperatures in any unit of temperature', () => {
    expect(celsiusOf({ value: 277.15, unit: 'K' }, 'value')).toBe(4);
    expect(celsiusOf({ value: 39.2, unit: '[degF]' }, 'value')).toBe(4);
    expect(() => celsiusOf({ value: 4, unit: 'C' }, 'value')).toThrow();
    expect(() => celsiusOf({ value: 4, unit: 'mL' }, 'value')).toThrow('mL');
    expect(() => celsiusOf({ value: 450, unit: 'Cel' }, 'value')).toThrow('no temperature of a store');
  });
});
