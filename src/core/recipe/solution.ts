import { Refusal } from '../refusal.js';
import { molarMass } from './formula.js';
import { checkQuantity, convert, tidy, type Quantity } from './quantity.js';

/** What to pour together for a dilution, mL. */
export interface Dilution {
  stockMl: number;
  diluentMl: number;
}

/**
 * Grams to weigh for a volume of a solution: m = c V M (the mole's definition); the formula, with its water of hydration,
 * is needed for a concentration by amount. `massToWeigh({value: 10, unit: 'mmol/L'}, {value: 1, unit: 'L'},
 * 'C6H8O7.H2O')` is 2.10138.
 */
export function massToWeigh(concentration: Quantity, volume: Quantity, formula?: string): number {
  checkQuantity('the concentration', concentration, 'concentration');
  checkQuantity('the volume', volume, 'volume');
  return tidy(convert(concentration, 'g/L', massOf(formula)) * convert(volume, 'L'));
}

/**
 * The concentration that a weighed mass gives in a final volume, in the unit asked for: c = m / (M V).
 * `concentrationOf({value: 9, unit: 'g'}, {value: 1, unit: 'L'}, 'mmol/L', 'NaCl')` is 154.0046...
 */
export function concentrationOf(mass: Quantity, volume: Quantity, unit: string, formula?: string): number {
  checkQuantity('the mass', mass, 'mass');
  checkQuantity('the volume', volume, 'volume');
  const gPerL = convert(mass, 'g') / convert(volume, 'L');
  return convert({ value: gPerL, unit: 'g/L' }, unit, massOf(formula));
}

/**
 * The concentration of a pure or concentrated liquid sold by mass fraction, in the unit asked for: c = w d / M, w as a
 * part of 1, the density in g/mL. `concentrationOfLiquid(0.37, 1.19, 'mol/L', 'HCl')` is 12.07...
 */
export function concentrationOfLiquid(massFraction: number, gPerMl: number, unit: string, formula?: string): number {
  if (!(massFraction > 0 && massFraction <= 1)) {
    throw refused(`the mass fraction is ${massFraction}; give a part of 1, such as 0.37 for 37 %`);
  }
  if (!(gPerMl > 0)) throw refused(`the density is ${gPerMl} g/mL; give a number above 0`);
  return convert({ value: massFraction * gPerMl, unit: 'g/mL' }, unit, massOf(formula));
}

/**
 * Stock and diluent for a volume of a weaker solution: C1 V1 = C2 V2, volumes taken as additive. Refuses a target
 * stronger than the stock and concentrations that cannot be compared; the formula leads from mass to amount.
 * `dilute({value: 10, unit: '{fold}'}, {value: 1, unit: '{fold}'}, {value: 1, unit: 'L'})` is `{stockMl: 100, diluentMl:
 * 900}`.
 */
export function dilute(from: Quantity, to: Quantity, volume: Quantity, formula?: string): Dilution {
  checkQuantity('the stock', from, 'concentration');
  checkQuantity('the target', to, 'concentration');
  checkQuantity('the volume', volume, 'volume');
  const target = convert(to, from.unit, massOf(formula));
  if (target > from.value) {
    throw new Refusal(
      'invalid',
      'stronger-than-stock',
      `${to.value} ${to.unit} cannot be made from ${from.value} ${from.unit}, which is weaker; take a stronger stock or a weaker target`,
    );
  }
  const totalMl = convert(volume, 'mL');
  const stockMl = tidy((target / from.value) * totalMl);
  return { stockMl, diluentMl: Math.max(0, tidy(totalMl - stockMl)) };
}

/**
 * The concentration, in its own unit, of what `taken` brings into a mix of `total`: C2 = C1 V1 / V2.
 * `concentrationInMix({value: 1, unit: '%'}, {value: 200, unit: 'mL'}, {value: 804, unit: 'mL'})` is 0.24875...
 */
export function concentrationInMix(stock: Quantity, taken: Quantity, total: Quantity): number {
  checkQuantity('the stock', stock, 'concentration');
  checkQuantity('the volume taken', taken, 'volume');
  checkQuantity('the whole volume', total, 'volume');
  const share = convert(taken, 'mL') / convert(total, 'mL');
  if (share > 1) {
    throw refused(
      `${taken.value} ${taken.unit} cannot be a part of ${total.value} ${total.unit}; give a whole volume at least as large`,
    );
  }
  return tidy(stock.value * share);
}

/** One tube of a serial dilution, filled from the tube before it (the first from the stock). */
export interface DilutionTube {
  concentration: Quantity;
  transferMl: number;
  diluentMl: number;
}

/** More tubes than any rack of them holds: common practice, no source. */
const MOST_TUBES = 100;

/**
 * What to transfer and to pour for each tube of a serial dilution by a constant factor, `volume` in a tube once mixed.
 * `serialDilution({value: 1, unit: 'mg/mL'}, 2, 3, {value: 1, unit: 'mL'})` begins with `{concentration: {value: 0.5,
 * unit: 'mg/mL'}, transferMl: 0.5, diluentMl: 0.5}`.
 */
export function serialDilution(stock: Quantity, factor: number, tubes: number, volume: Quantity): DilutionTube[] {
  checkQuantity('the stock', stock, 'concentration');
  checkQuantity('the volume', volume, 'volume');
  if (!(factor > 1 && Number.isFinite(factor)))
    throw refused(`the factor is ${factor}; give a number above 1, such as 2`);
  if (!(Number.isInteger(tubes) && tubes >= 1 && tubes <= MOST_TUBES)) {
    throw refused(`${tubes} tubes cannot be filled; give a whole number from 1 to ${MOST_TUBES}`);
  }
  const totalMl = convert(volume, 'mL');
  const transferMl = tidy(totalMl / factor);
  return Array.from({ length: tubes }, (_, index) => ({
    concentration: { value: tidy(stock.value / factor ** (index + 1)), unit: stock.unit },
    transferMl,
    diluentMl: tidy(totalMl - transferMl),
  }));
}

function massOf(formula: string | undefined): number | undefined {
  return formula === undefined ? undefined : molarMass(formula);
}

function refused(message: string): Refusal {
  return new Refusal('invalid', 'bad-quantity', message);
}
