import { convert, type Quantity, tidy } from '../recipe/quantity.js';
import { Refusal } from '../refusal.js';

export { USUAL_UNIT } from './written.js';

/** The ledger counts whole millionths of a declared unit, so that sums are exact and no balance drifts. */
const MICRO = 1_000_000;

/** Sums of whole numbers stay exact in a double up to 2^53; one movement stays far below, in millionths. */
const MOST_MICRO = 1e12 * MICRO;

/**
 * A quantity in whole millionths of a reagent's declared unit. Refuses another kind of unit (g against mL), what is not
 * above 0, what is not finite and what is smaller than a millionth; `at` names the field.
 * `microOf({ value: 0.5, unit: 'L' }, 'mL', 'size')` is 500 000 000.
 */
export function microOf(quantity: Quantity, declared: string, at: string): number {
  const { value, unit } = quantity;
  if (!(value > 0 && Number.isFinite(value)))
    throw refused(at, 'bad-quantity', `${at} is ${value} ${unit}; give a number above 0`);
  const micro = convertedMicro(quantity, declared, at);
  if (micro === 0) {
    const message = `${at} is ${value} ${unit}, less than a millionth of 1 ${declared}; give more`;
    throw refused(at, 'bad-quantity', message);
  }
  return micro;
}

/** What was found in a container, in millionths; unlike an amount that moves it may be 0. */
export function countedMicro(quantity: Quantity, declared: string, at: string): number {
  const { value, unit } = quantity;
  if (!(value >= 0 && Number.isFinite(value)))
    throw refused(at, 'bad-quantity', `${at} is ${value} ${unit}; give 0 or a number above it`);
  return convertedMicro(quantity, declared, at);
}

/** A change of either sign in millionths, for what is put right; refuses 0. */
export function changeMicro(quantity: Quantity, declared: string, at: string): number {
  const { value, unit } = quantity;
  return value < 0 ? -microOf({ value: -value, unit }, declared, at) : microOf(quantity, declared, at);
}

function convertedMicro(quantity: Quantity, declared: string, at: string): number {
  const { value, unit } = quantity;
  let converted: number;
  try {
    converted = convert(quantity, declared);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    throw new Refusal(error.kind, error.code, `${at}: ${error.message}`, [{ at, message: error.message }]);
  }
  const micro = Math.round(tidy(converted * MICRO));
  if (micro > MOST_MICRO)
    throw refused(
      at,
      'bad-quantity',
      `${at} is ${value} ${unit}, more than any container holds; look at number and unit`,
    );
  return micro;
}

function refused(at: string, code: string, message: string): Refusal {
  return new Refusal('invalid', code, message, [{ at, message }]);
}

/** Millionths as a quantity in the declared unit. `quantityOf(1_500_000, 'mL')` is `{ value: 1.5, unit: 'mL' }`. */
export function quantityOf(micro: number, declared: string): Quantity {
  return { value: micro / MICRO, unit: declared };
}
