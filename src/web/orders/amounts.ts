import { unitText } from '../parts/format.js';
import { LOCALE } from '../parts/locale.js';
import { figures } from '../parts/numbers.js';
import { typedNumber } from '../parts/typed-number.js';

const DAY = new Intl.DateTimeFormat(LOCALE, { timeZone: 'UTC', day: 'numeric', month: 'short', year: 'numeric' });

/** What is counted, of which there are mostly many. */
const MANY: Record<string, string> = { '{piece}': 'pieces', '{slide}': 'slides', '{test}': 'tests' };

/** To four figures; what no balance shows is nothing. */
export function numberText(value: number): string {
  return figures(Math.abs(value) < 1e-6 ? 0 : value);
}

/** '1,250 mL'. */
export function amountText(value: number, unit: string): string {
  return `${numberText(value)} ${MANY[unit] ?? unitText(unit)}`.trim();
}

/** A local day as people write it. */
export function dayText(day: string): string {
  return DAY.format(Date.parse(day));
}

/** Hundredths with their currency. */
export function moneyText(cents: number, currency: string): string {
  return new Intl.NumberFormat(LOCALE, { style: 'currency', currency }).format(cents / 100);
}

/** What was typed as a number; null when it is none. */
export function typed(text: string): number | null {
  const value = typedNumber(text);
  return Number.isNaN(value) ? null : value;
}
