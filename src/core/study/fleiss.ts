import { Refusal } from '../refusal.js';

export interface FleissKappa {
  /** Null when every rating of all was of one category. */
  estimate: number | null;
  /** Standard error if the ratings were chance. */
  se0: number | null;
  /** Per category; null for one that was never or always given. */
  perCategory: (number | null)[];
}

/**
 * Fleiss' kappa for several readers: a row for each case, with how many readers gave each category (Fleiss, Psychol Bull
 * 1971;76:378-382; standard error by Fleiss, Nee and Landis 1979;86:974-977). Refuses rows whose readers differ in number, are
 * fewer than two, or are not counted whole. `fleissKappa([[2, 0], [0, 2], [1, 1]]).estimate` is 0.33333333333333337.
 */
export function fleissKappa(counts: readonly (readonly number[])[]): FleissKappa {
  const { readers, categories } = checked(counts);
  const ratings = counts.length * readers;
  const shares = Array.from(
    { length: categories },
    (_, j) => counts.reduce((sum, row) => sum + (row[j] ?? 0), 0) / ratings,
  );
  const pairs = ratings * (readers - 1);
  const agreeing = counts.flat().reduce((sum, count) => sum + count * (count - 1), 0) / pairs;
  const spread = shares.reduce((sum, p) => sum + p * (1 - p), 0);
  const perCategory = shares.map((p, j) => {
    const mixed = counts.reduce((sum, row) => sum + (row[j] ?? 0) * (readers - (row[j] ?? 0)), 0);
    return p === 0 || p === 1 ? null : 1 - mixed / (pairs * p * (1 - p));
  });
  if (spread === 0) return { estimate: null, se0: null, perCategory };
  const skew = shares.reduce((sum, p) => sum + p * (1 - p) * (1 - 2 * p), 0);
  return {
    estimate: (agreeing - (1 - spread)) / spread,
    se0: Math.sqrt((2 * (spread ** 2 - skew)) / (pairs * spread ** 2)),
    perCategory,
  };
}

function checked(counts: readonly (readonly number[])[]): { readers: number; categories: number } {
  const sums = counts.map((row) => row.reduce((sum, count) => sum + count, 0));
  const readers = sums[0] ?? 0;
  const categories = counts[0]?.length ?? 0;
  if (counts.flat().some((count) => !Number.isSafeInteger(count) || count < 0)) {
    throw new Refusal('invalid', 'bad-count', 'a count of readers is no whole number of at least 0; mend it');
  }
  if (categories < 2 || counts.some((row) => row.length !== categories)) {
    throw new Refusal('invalid', 'bad-table', 'each case must have a count for each category, at least 2 categories');
  }
  if (readers < 2 || sums.some((sum) => sum !== readers)) {
    throw new Refusal(
      'invalid',
      'bad-table',
      `each case must be read by the same number of readers, at least 2; they are ${sums.join(', ')}`,
    );
  }
  return { readers, categories };
}
