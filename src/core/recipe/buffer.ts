import { Refusal } from '../refusal.js';
import { molarMass } from './formula.js';
import { checkQuantity, convert, tidy, type Quantity } from './quantity.js';

/** A pKa, and how it moves with the temperature at which the buffer is used. */
export interface AcidConstant {
  pKa: number;
  /** Absent when the pKa is that at the temperature of use. */
  moves?: {
    /** Temperature for which the pKa is stated, Cel. */
    atCel: number;
    /** Change per degree, such as -0.028 for Tris. */
    perCel: number;
    /** Temperature of use, Cel. */
    usedAtCel: number;
  };
}

export interface BufferRecipe {
  /** Formulae of the two forms as they stand in the bottles, water of hydration included. */
  acid: string;
  base: string;
  constant: AcidConstant;
  pH: number;
  /** Concentration of both forms together, by amount. */
  total: Quantity;
  volume: Quantity;
}

/** What to weigh for a buffer. */
export interface BufferComposition {
  /** Moles of base for one mole of acid. */
  baseToAcid: number;
  acidG: number;
  baseG: number;
}

/**
 * Grams of both forms for a buffer of a pH: base / acid = 10^(pH - pKa) (Henderson-Hasselbalch, ideal: the pH of a
 * strong salt solution lies lower, so it is read and adjusted). Refuses a pH outside 0 to 14 and a total that is no
 * amount in a volume. For NaH2PO4.H2O and Na2HPO4 at pH = pKa, 50 mmol/L, 200 mL: `{baseToAcid: 1, acidG: 0.68995,
 * baseG: 0.70979}`.
 */
export function bufferComposition({ acid, base, constant, pH, total, volume }: BufferRecipe): BufferComposition {
  checkQuantity('the total concentration', total, 'concentration');
  checkQuantity('the volume', volume, 'volume');
  const ratio = baseToAcid(pH, pKaInUse(constant));
  const moles = convert(total, 'mol/L') * convert(volume, 'L');
  return {
    baseToAcid: tidy(ratio),
    acidG: tidy((moles / (1 + ratio)) * molarMass(acid)),
    baseG: tidy(((moles * ratio) / (1 + ratio)) * molarMass(base)),
  };
}

/** Moles of base for one of acid at a pH (Henderson-Hasselbalch). `baseToAcid(7.4, 7.21)` is 1.5488... */
export function baseToAcid(pH: number, pKa: number): number {
  if (!(pH >= 0 && pH <= 14)) throw refused(`the pH is ${pH}; give one from 0 to 14`);
  if (!Number.isFinite(pKa)) throw refused(`the pKa is ${pKa}; give a number`);
  return 10 ** (pH - pKa);
}

/** The pH that a ratio of base to acid gives (Henderson-Hasselbalch). `bufferPH(7.21, 1)` is 7.21. */
export function bufferPH(pKa: number, ratio: number): number {
  if (!(ratio > 0)) throw refused(`the ratio of base to acid is ${ratio}; give a number above 0`);
  return pKa + Math.log10(ratio);
}

/**
 * The pKa at the temperature of use, moved in proportion from the one it is stated for. `pKaInUse({pKa: 8.07, moves:
 * {atCel: 25, perCel: -0.028, usedAtCel: 37}})` is 7.734.
 */
export function pKaInUse({ pKa, moves }: AcidConstant): number {
  return moves ? tidy(pKa + moves.perCel * (moves.usedAtCel - moves.atCel)) : pKa;
}

/** An ion of a solution: mol/L and charge. */
export interface Ion {
  molPerL: number;
  charge: number;
}

/** Ionic strength in mol/L: half the sum of c z^2. 0.1 mol/L of Na+ and of Cl- give 0.1. */
export function ionicStrength(ions: Ion[]): number {
  return tidy(ions.reduce((sum, { molPerL, charge }) => sum + molPerL * charge ** 2, 0) / 2);
}

/** Debye-Hueckel constant of water at 25 Cel, from memory of standard tables. */
const DAVIES_A = 0.509;

/**
 * The pKa in a salt solution at 25 Cel, by the Davies equation (Davies CW, Ion Association, 1962; from memory), from the
 * ideal one, the charge of the acid form and the ionic strength in mol/L, up to 0.5 at which the equation ends.
 * `pKaInSalt(7.21, -1, 0.166)` is 6.844.
 */
export function pKaInSalt(pKa: number, acidCharge: number, strength: number): number {
  if (!(strength >= 0 && strength <= 0.5)) {
    throw refused(`the ionic strength is ${strength} mol/L; the equation holds from 0 to 0.5 mol/L`);
  }
  const root = Math.sqrt(strength);
  return pKa + (2 * acidCharge - 1) * DAVIES_A * (root / (1 + root) - 0.3 * strength);
}

function refused(message: string): Refusal {
  return new Refusal('invalid', 'bad-buffer', message);
}
