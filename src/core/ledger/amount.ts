import { convert, type Quantity, tidy } from '../recipe/quantity.js';
import { Refusal } from '../refusal.js';

/** The ledger counts whole millionths of a declared unit, so that sums are exact and no balance drifts. */
const MICRO = 1_000_000;

/** Sums of whole numbers stay exact in a double up to 2^53; one movement stays far below, in millionths. */
const MOST_MICRO = 1e12 * MICRO;

/** The unit in which a reagent is counted when its catalogue entry says none. */
export const USUAL_UNIT = 'mL';

/**
 * A quantity in whole millionths of a reagent's declared unit. Refuses another kind of unit (g against mL), what is not
 * above 0, what is not finite and what is smaller than a millionth; `at` names the field.
 * `microOf({ value: 0.5, unit: 'L' }, 'mL', 'size')` is 500 000 000.
 */
export function microOf(quantity: Quantity, declared: string, at: string): number {
  const { value, unit } = quantity;
  const refuse = (code: string, message: string): never => {
    throw new Refusal('invalid', code, message, [{ at, message }]);
  };
  if (!(value > 0 && Number.isFinite(value)))
    refuse('bad-quantity', `${at} is ${value} ${unit}; give a number above 0`);
  let converted: number;
  try {
    converted = convert(quantity, declared);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    throw new Refusal(error.kind, error.code, `${at}: ${error.message}`, [{ at, message: error.message }]);
  }
  const micro = Math.round(tidy(converted * MICRO));
  if (micro === 0)
    refuse('bad-quantity', `${at} is ${value} ${unit}, less than a millionth of 1 ${declared}; give more`);
  if (micro > MOST_MICRO) refuse('bad-quantity', `${at} is ${value} ${unit}, more than any container holds`);
  return micro;
}

/** Millionths as a quantity in the declared unit. `quantityOf(1_500_000, 'mL')` is `{ value: 1.5, unit: 'mL' }`. */
export function quantityOf(micro: number, declared: string): Quantity {
  return { value: micro / MICRO, unit: declared };
}

/** 'What it holds' as people write it, such as '500 mL'; undefined when it is no number with a unit. */
export function writtenQuantity(text: string): Quantity | undefined {
  const found = /^(\d+(?:\.\d+)?)\s*(\S+)$/.exec(text.trim());
  return found ? { value: Number(found[1]), unit: found[2] as string } : undefined;
}
