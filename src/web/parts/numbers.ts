import { numbersAs } from './typed-number.js';

/** A number to four figures, as this device writes numbers: '18.11', '1,900'. */
export function figures(value: number): string {
  return value.toLocaleString(numbersAs(), { maximumSignificantDigits: 4 });
}

/** A number with as many decimals as are named, as this device writes numbers: `decimals(12.5, 2)` is '12.50'. */
export function decimals(value: number, count: number): string {
  return value.toLocaleString(numbersAs(), { minimumFractionDigits: count, maximumFractionDigits: count });
}
