import ucum, { type UcumUnit } from '@lhncbc/ucum-lhc';
import { dimensionsOf, suggestionFor, unitFault, unitOf, type Measure } from '../protocol/units.js';
import { Refusal } from '../refusal.js';

/** A number with its unit as a UCUM code, such as 50 ug/mL. */
export interface Quantity {
  value: number;
  unit: string;
}

/** By dimensions and power of the mole: what such units measure, and how to write one. */
const KINDS: Record<string, string> = {
  '0,0,1,0,0,0,0 0': 'a mass, such as g',
  '3,0,0,0,0,0,0 0': 'a volume, such as mL',
  '0,0,0,0,0,0,0 1': 'an amount of substance, such as mmol',
  '-3,0,1,0,0,0,0 0': 'a mass in a volume, such as g/L',
  '-3,0,0,0,0,0,0 1': 'an amount in a volume, such as mmol/L',
  '-3,-1,0,0,0,0,0 1': 'an activity in a volume, such as U/mL',
  '0,0,0,0,0,0,0 0': 'a plain number or ratio, such as %',
  '0,0,0,0,1,0,0 0': 'a temperature, such as Cel',
  '0,1,0,0,0,0,0 0': 'a time, such as min',
};

/** Per cent weight in volume is grams in 100 mL by definition; UCUM reads any per cent as a plain ratio. */
const PER_CENT_WEIGHT_IN_VOLUME = '%{w/v}';

/**
 * The value of a quantity in another UCUM unit; between mass and amount of substance it takes the molar mass in g/mol.
 * Refuses units of different kinds, naming both and what would be right. `convert({value: 1, unit: 'mg/mL'}, 'ug/mL')`
 * is 1000.
 */
export function convert({ value, unit }: Quantity, to: string, gPerMol?: number): number {
  if (unit === to) return value;
  const [from, target] = [unit, to].map((code) => (code === PER_CENT_WEIGHT_IN_VOLUME ? 'g/dL' : code)) as [
    string,
    string,
  ];
  const [fromUnit, toUnit] = [known(from), known(target)];
  // UCUM takes what stands in braces for a remark, but 1 {fold} is not 100 %.
  const comparable = remark(fromUnit, from) === remark(toUnit, target);
  const options = gPerMol === undefined ? {} : { molecularWeight: gPerMol };
  const { toVal } = comparable
    ? ucum.UcumLhcUtils.getInstance().convertUnitTo(from, value, target, options)
    : { toVal: null };
  if (toVal === null) throw mismatch(unit, fromUnit, to, toUnit);
  // The package's factors carry noise in the last binary digits (1 mg/mL as 1000.0000000000001 ug/mL).
  return tidy(toVal);
}

/** Refuses a quantity that is not above 0 in a unit of the measure; `what` names it, as in 'the final volume'. */
export function checkQuantity(what: string, { value, unit }: Quantity, measure: Measure): void {
  const fault = unitFault(unit, measure);
  if (fault !== undefined) throw new Refusal('invalid', 'wrong-unit', `${what}, ${value} ${unit}: ${fault}`);
  if (!(value > 0 && Number.isFinite(value))) {
    throw new Refusal('invalid', 'bad-quantity', `${what} is ${value} ${unit}; give a number above 0`);
  }
}

/** Products and quotients of decimal figures without the noise of their last binary digits. */
export function tidy(value: number): number {
  return Number(value.toPrecision(14));
}

function known(code: string): UcumUnit {
  const unit = unitOf(code);
  if (!unit) {
    const right = suggestionFor(code) ?? 'one such as g, mL or mmol/L';
    throw new Refusal('invalid', 'wrong-unit', `"${code}" is not a UCUM code; write ${right}`);
  }
  return unit;
}

function kindOf(unit: UcumUnit): string {
  return `${dimensionsOf(unit)} ${unit.moleExp_}`;
}

const PLAIN_NUMBER = '0,0,0,0,0,0,0 0';

function remark(unit: UcumUnit, code: string): string {
  return kindOf(unit) === PLAIN_NUMBER ? (/\{.*\}/.exec(code)?.[0] ?? '') : '';
}

function mismatch(from: string, fromUnit: UcumUnit, to: string, toUnit: UcumUnit): Refusal {
  const [is, would] = [fromUnit, toUnit].map((unit) => KINDS[kindOf(unit)] ?? 'of another kind');
  const ways = is === would ? [`both in "${to}"`, `both in "${from}"`] : [`"${to}" or another unit of its kind`];
  if (fromUnit.moleExp_ !== toUnit.moleExp_)
    ways.push('the formula of the substance, whose molar mass leads from one to the other');
  if (from === '%') ways.push(`"${PER_CENT_WEIGHT_IN_VOLUME}" if grams in 100 mL are meant`);
  return new Refusal(
    'invalid',
    'unit-mismatch',
    `"${from}" cannot be converted to "${to}": "${from}" is ${is}, "${to}" is ${would}; give ${ways.join(', or ')}`,
  );
}
