import type { Gs1Contents } from '../gs1/reading.js';
import { endOfPrinted } from '../time/zone.js';

/** What a lot is known by. */
export interface LotPrint {
  gtin: string | null;
  number: string;
  /** As printed; null for what is prepared here. */
  expiry: string | null;
}

export interface LotMatch<Lot> {
  /** The one lot that a code names for sure. */
  lot: Lot | null;
  /** What it may be, when a person has to decide by the print. */
  candidates: Lot[];
  /** What speaks against taking it at its word, besides the warnings of the code itself. */
  warnings: { code: string; message: string }[];
}

/** Warnings after which the lot that was read may hold more than the lot: GS1 General Specifications, section 7.8. */
const DOUBTFUL: readonly string[] = ['GS1_SEPARATOR_LOST', 'GS1_SEPARATOR_DOUBTFUL'];

/**
 * Which of the lots received here a scanned code names: product and lot number must be the same and the expiry must not
 * differ. After a lost separator, with a number that stands for several shipments, or without the product's number
 * nothing is matched, and the lots that it may be are candidates.
 */
export function matchLot<Lot extends LotPrint>(
  scanned: Pick<Gs1Contents, 'gtin' | 'lot' | 'expiry' | 'warnings'>,
  lots: readonly Lot[],
  zone: string,
): LotMatch<Lot> {
  const { gtin, lot: number, expiry } = scanned;
  if (number === undefined) return { lot: null, candidates: [], warnings: [] };
  const ofProduct = lots.filter((lot) => gtin === undefined || lot.gtin === null || lot.gtin === gtin);
  if (scanned.warnings.some(({ code }) => DOUBTFUL.includes(code))) {
    return { lot: null, candidates: ofProduct.filter((lot) => number.startsWith(lot.number)), warnings: [] };
  }
  const named = ofProduct.filter((lot) => lot.number === number);
  const [first] = named;
  if (!first) return { lot: null, candidates: [], warnings: [] };
  const doubt = (code: string, message: string) => ({ lot: null, candidates: named, warnings: [{ code, message }] });
  if (gtin === undefined || named.some((lot) => lot.gtin === null)) {
    return doubt(
      'lot-by-number-only',
      `Only the lot number ${number} is the same, which two products may share; compare with the print.`,
    );
  }
  const other = named.find((lot) => expiry !== undefined && lot.expiry !== null && differ(expiry, lot.expiry, zone));
  if (other) {
    return doubt(
      'expiry-differs',
      `The code says that lot ${number} expires ${expiry}, and it was received with ${other.expiry}; compare with the print.`,
    );
  }
  if (named.length > 1) {
    return doubt(
      'several-shipments',
      `Lot ${number} came in ${named.length} shipments; scan our own label on the container.`,
    );
  }
  return { lot: first, candidates: [], warnings: [] };
}

/** Whether two prints end at different instants: '2027-02' and '2027-02-28' do not. */
function differ(a: string, b: string, zone: string): boolean {
  return endOfPrinted(a, zone) !== endOfPrinted(b, zone);
}
