import { Refusal } from '../refusal.js';
import { quantityOf } from './amount.js';

/** What a container holds by the ledger and by the eye, in millionths of `unit`. */
export interface Counted {
  label: string;
  unit: string;
  expected: number;
  counted: number;
  reason?: string | undefined;
}

/**
 * What a count changes: counted less expected, in millionths. Refuses a difference that nobody gives a reason for, telling
 * what it is. 80 counted where 100 are expected, with a reason, is -20.
 */
export function varianceOf({ label, unit, expected, counted, reason }: Counted): number {
  const variance = counted - expected;
  if (variance === 0 || reason !== undefined) return variance;
  const [held, found, off] = [expected, counted, Math.abs(variance)].map((micro) => quantityOf(micro, unit).value);
  const message = `${label} holds ${held} ${unit} by the ledger and you found ${found} ${unit}, ${off} ${unit} ${variance < 0 ? 'less' : 'more'}; count again, and if it stays say why, or "not known".`;
  throw new Refusal('invalid', 'variance-without-reason', message, [{ at: 'reason', message }], {
    expected: quantityOf(expected, unit),
    variance: quantityOf(variance, unit),
  });
}
