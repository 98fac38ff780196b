import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { ATOMIC_WEIGHTS } from '../../../src/core/recipe/atomic-weights.js';
import { molarMass } from '../../../src/core/recipe/formula.js';

describe('molarMass', () => {
  // IUPAC standard atomic weights, sums by hand.
  it.each([
    ['H2O', 18.015],
    ['CaSO4.0.5H2O', 145.144],
    ['K4[Fe(CN)6]', 368.345],
    ['KAl(SO4)2·12H2O', 474.372],
    ['C17H19N3.HCl.0.5ZnCl2', 369.961],
    ['UO2(C2H3O2)2.2H2O', 424.146],
  ])('of %s is %d', (formula, mass) => expect(molarMass(formula)).toBeCloseTo(mass, 2));

  it('adds hydrate water to the anhydrous mass, whatever the salt', () => {
    const element = fc.constantFrom(...ATOMIC_WEIGHTS.keys());
    fc.assert(
      fc.property(element, fc.integer({ min: 1, max: 20 }), fc.integer({ min: 1, max: 20 }), (symbol, n, water) => {
        const hydrate = molarMass(`(${symbol})${n}Cl.${water}H2O`);
        expect(hydrate).toBeCloseTo(molarMass(`${symbol}${n}Cl`) + water * molarMass('H2O'), 8);
      }),
    );
  });

  it.each([
    ['', /"" ends too early; expected an element/],
    ['Zz2', /"Zz" in "Zz2" is no element/],
    ['nacl', /has "n" at place 1; expected an element/],
    ['H2(O', /the bracket "\(" in "H2\(O" is not closed; close it with "\)"/],
    ['Fe(CN]6', /close it with "\)"/],
    ['H2O)', /has "\)" at place 4/],
    ['()', /has "\)" at place 2; expected an element/],
    ['NaCl.', /ends too early/],
    ['NaCl. 2H2O', /has " " at place 6/],
    ['NaCl 2H2O', /has " " at place 5/],
    ['H0', /counts something 0 times/],
    ['H₂O', /has "₂" at place 2/],
    ['Na+', /has "\+" at place 3/],
  ])('refuses "%s"', (formula, message) => {
    expect(() => molarMass(formula)).toThrow(
      expect.objectContaining({ code: 'bad-formula', message: expect.stringMatching(message) }),
    );
  });
});
