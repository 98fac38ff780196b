import type { OrderLine } from '../../../core/stock/order.js';

/** A place as on an envelope, one line each. */
export interface Party {
  name: string;
  address: string | null;
}

/** What an order says to its supplier, whatever the form. */
export interface OrderPaper {
  number: string;
  /** Local day of its approval. */
  day: string;
  wantedBy: string | null;
  /** ISO 4217. */
  currency: string;
  totalCents: number;
  buyer: Party;
  /** The number under which the supplier knows the buyer. */
  customerNumber: string | null;
  supplier: Party & { email: string | null };
  /** Who approved it, and who signed if it was signed. */
  approvedBy: string;
  signedBy: string | null;
  lines: (OrderLine & { unit: string })[];
}

/** Hundredths as a number with two decimals, as documents for machines have it. `decimal(1250)` is '12.50'. */
export function decimal(cents: number): string {
  return (cents / 100).toFixed(2);
}
