import { LOCALE } from './locale.js';

const FOUR = new Intl.NumberFormat(LOCALE, { maximumSignificantDigits: 4 });

/** A number to four figures, as this device writes numbers: '18.11', '1,900'. */
export function figures(value: number): string {
  return FOUR.format(value);
}

/** A number with as many decimals as are named, as this device writes numbers: `decimals(12.5, 2)` is '12.50'. */
export function decimals(value: number, count: number): string {
  return value.toLocaleString(LOCALE, { minimumFractionDigits: count, maximumFractionDigits: count });
}
