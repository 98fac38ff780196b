import { Refusal } from '../refusal.js';
import { quantityOf } from './amount.js';
import type { MovementKind } from './kinds.js';

/** The sign that each kind's amount has; 'any' for a count, 'none' where only the place changes. */
const SIGNS: Record<MovementKind, 'plus' | 'minus' | 'any' | 'none'> = {
  received: 'plus',
  made: 'plus',
  taken: 'minus',
  used: 'minus',
  moved: 'none',
  adjusted: 'any',
  discarded: 'minus',
};

/**
 * Refuses a movement that cannot be: of a broken number of millionths, of the wrong sign, or below nothing. `onHand` is
 * what the container holds before it, in millionths of `unit`; `label` names the container. What fell short on paper may
 * have moved nothing.
 */
export function checkMovement(
  { kind, micro, shortMicro = 0 }: { kind: MovementKind; micro: number; shortMicro?: number },
  { onHand, unit, label }: { onHand: number; unit: string; label: string },
): void {
  if (!Number.isSafeInteger(micro)) throw new RangeError(`a movement of ${micro} millionths is no whole number`);
  const sign = SIGNS[kind];
  const fits = { plus: micro > 0, minus: micro < 0 || (micro === 0 && shortMicro > 0), any: true, none: micro === 0 }[
    sign
  ];
  if (!fits) throw new RangeError(`a movement of kind ${kind} cannot have the amount ${micro}`);
  if (onHand + micro >= 0) return;
  const held = quantityOf(onHand, unit);
  const wanted = quantityOf(-micro, unit);
  throw new Refusal(
    'conflict',
    'not-enough',
    `${label} holds ${held.value} ${held.unit} by the ledger and ${wanted.value} ${wanted.unit} were asked; take another container too, or count what is in it.`,
    [],
    { onHand: held },
  );
}
