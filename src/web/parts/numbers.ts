import { numbersAs } from './typed-number.js';

/** A number to so many figures, as this device writes numbers: '18.11', '1,900'. */
export function figures(value: number, count = 4): string {
  return value.toLocaleString(numbersAs(), { maximumSignificantDigits: count });
}

/** A number with as many decimals as are named, as this device writes numbers: `decimals(12.5, 2)` is '12.50'. */
export function decimals(value: number, count: number): string {
  return value.toLocaleString(numbersAs(), { minimumFractionDigits: count, maximumFractionDigits: count });
}

/** Hundredths of the currency as a price: '24.50'. */
export function priceText(cents: number): string {
  return decimals(cents / 100, 2);
}

/** How large a file is: '340 kB', '2.4 MB'. */
export function sizeText(bytes: number): string {
  return bytes < 1e6 ? `${Math.ceil(bytes / 1e3)} kB` : `${decimals(bytes / 1e6, 1)} MB`;
}
