/** In whose way numbers are read and written; undefined is the browser's. */
let reader: string | undefined;

/** In whose way numbers stand on this device. */
export function numbersAs(): string | undefined {
  return reader;
}

/** Reads and writes numbers from now on as another language writes them. */
export function readNumbersAs(locale: string | undefined): void {
  reader = locale;
}

/** The mark that parts a number from its decimals in the reader's language. */
function decimalMark(locale?: string): string | undefined {
  return new Intl.NumberFormat(locale).formatToParts(1.5).find(({ type }) => type === 'decimal')?.value;
}

/**
 * A number as a person types it, with a comma or a point before its decimals; NaN when it is none. '1,500' is fifteen
 * hundred to one reader and one and a half to another: before three digits only the mark of the reader's own language
 * counts as decimal, and the other one is refused rather than guessed (common practice, no source).
 */
export function typedNumber(text: string, locale = reader): number {
  const match = /^([-−+]?)(\d+)(?:([.,])(\d+))?$/.exec(text.trim());
  if (!match) return Number.NaN;
  const [, sign, whole = '', mark, decimals = '0'] = match;
  const mayGroup = mark !== undefined && decimals.length === 3 && /^[1-9]\d{0,2}$/.test(whole);
  if (mayGroup && mark !== decimalMark(locale)) return Number.NaN;
  const value = Number(`${whole}.${decimals}`);
  return sign === '-' || sign === '−' ? -value : value;
}
