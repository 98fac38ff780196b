import { convert, type Quantity, tidy } from '../recipe/quantity.js';
import { Refusal } from '../refusal.js';
import type { StorageClass, StorageNeed } from './classes.js';

/** A cupboard, a refrigerator, a shelf: what it keeps to, and what may lie in it. */
export interface Place {
  /** What stands on its door, such as 'FRIDGE-1'. */
  code: string;
  name: string;
  /** Degrees Celsius; null where nothing is promised. */
  min: number | null;
  max: number | null;
  dark: boolean;
  /** The classes that it is meant for; null when any may lie there. */
  classes: StorageClass[] | null;
  /** Where things lie that must not be used any more. */
  apart: boolean;
}

/** Coldest and hottest that a thermometer of a store shows; beyond them a figure is mistyped: common practice, no source. */
const PLAUSIBLE = { min: -200, max: 100 };

/**
 * A temperature in degrees Celsius, to a hundredth. Refuses a unit that is none of temperature and a figure that no store
 * has; `at` names the field. `celsiusOf({ value: 277.15, unit: 'K' }, 'temperature')` is 4.
 */
export function celsiusOf(reading: Quantity, at: string): number {
  const { value } = reading;
  const refused = (message: string) => new Refusal('invalid', 'bad-temperature', message, [{ at, message }]);
  if (!Number.isFinite(value)) throw refused(`${at} is ${value}; give a number such as 4.5`);
  let celsius: number;
  try {
    celsius = tidy(Math.round(convert(reading, 'Cel') * 100) / 100);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    throw refused(error.message);
  }
  if (celsius >= PLAUSIBLE.min && celsius <= PLAUSIBLE.max) return celsius;
  throw refused(`${celsius} °C is no temperature of a store; it lies between ${PLAUSIBLE.min} and ${PLAUSIBLE.max} °C`);
}

/** Whether a temperature lies outside a place's limits, whose ends belong to it. */
export function isOutside(celsius: number, { min, max }: Pick<Place, 'min' | 'max'>): boolean {
  return (min !== null && celsius < min) || (max !== null && celsius > max);
}

/** 'between 2 and 8 °C', 'up to 25 °C', 'without limits'. */
export function limitsText({ min, max }: Pick<Place, 'min' | 'max'>): string {
  if (min !== null && max !== null) return `between ${min} and ${max} °C`;
  if (min !== null) return `from ${min} °C up`;
  return max === null ? 'without limits' : `up to ${max} °C`;
}

/** Refuses a place whose lower limit lies above its upper one. */
export function checkPlace({ min, max }: Pick<Place, 'min' | 'max'>): void {
  if (min === null || max === null || min <= max) return;
  const message = `min, ${min} °C, lies above max, ${max} °C; exchange them`;
  throw new Refusal('invalid', 'window', message, [{ at: 'min', message }]);
}

/**
 * What of a reagent's storage a place does not keep to, in words; empty when it keeps to all. A limit that the place does
 * not promise is not kept.
 */
export function unkept(need: StorageNeed, place: Place): string[] {
  const tooCold = need.min !== undefined && (place.min === null || place.min < need.min);
  const tooWarm = need.max !== undefined && (place.max === null || place.max > need.max);
  const wanted = limitsText({ min: need.min ?? null, max: need.max ?? null });
  return [
    ...(tooCold || tooWarm ? [`it is kept ${wanted}, and ${place.name} is kept ${limitsText(place)}`] : []),
    ...(need.dark === true && !place.dark ? [`it is kept in the dark, and ${place.name} is not dark`] : []),
  ];
}
