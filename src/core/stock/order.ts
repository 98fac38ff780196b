import { Refusal } from '../refusal.js';
import type { Signature } from '../record/signed.js';

export const ORDER_ACT_KINDS = ['drafted', 'approved', 'sent', 'cancelled', 'closed'] as const;
export type OrderActKind = (typeof ORDER_ACT_KINDS)[number];

export const RECEIPT_KINDS = ['taken in', 'refused'] as const;
export type ReceiptKind = (typeof RECEIPT_KINDS)[number];

/** How an order reached the supplier. */
export const SENDING_WAYS = ['e-mail', 'supplier page', 'telephone', 'post', 'handed over'] as const;
export type SendingWay = (typeof SENDING_WAYS)[number];

/** One product of an order, as it stood in the list of products when the line was written. */
export interface OrderLine {
  productCode: string;
  reagentCode: string;
  name: string;
  itemNumber: string;
  gtin: string | null;
  packs: number;
  packContainers: number;
  /** What each container holds, in millionths of the reagent's declared unit. */
  containerMicro: number;
  /** Of one pack, in hundredths of the currency. */
  priceCents: number;
}

/** What each act says beside who and when. */
export interface OrderActData {
  /** Of 'drafted': all lines, the ones written before forgotten. */
  lines?: OrderLine[];
  /** Of 'drafted': the day by which it is wanted. */
  wantedBy?: string;
  /** Of 'approved': the order as it was approved. */
  currency?: string;
  totalCents?: number;
  signature?: Signature;
  /** Of 'sent'. */
  how?: SendingWay;
  note?: string;
}

export interface OrderAct {
  kind: OrderActKind;
  data: OrderActData;
}

export interface OrderReceipt {
  line: number;
  kind: ReceiptKind;
  containers: number;
}

export const ORDER_STATES = ['draft', 'approved', 'sent', 'partly in', 'all in', 'closed', 'cancelled'] as const;
export type OrderState = (typeof ORDER_STATES)[number];

export interface OrderedLine extends OrderLine {
  /** Containers ordered, taken in, and still to come. */
  ordered: number;
  received: number;
  open: number;
}

export interface FoldedOrder {
  state: OrderState;
  lines: OrderedLine[];
  wantedBy: string | null;
  totalCents: number;
}

/**
 * Where an order stands, folded from its acts and receipts in their order: a draft until it is approved; then sent, partly
 * in and all in by what was taken in; a refused delivery counts nothing. Nothing is open of one that was closed or cancelled.
 */
export function foldOrder(acts: readonly OrderAct[], receipts: readonly OrderReceipt[]): FoldedOrder {
  const last = acts.findLast(({ kind }) => kind === 'drafted')?.data;
  const over = acts.find(({ kind }) => kind === 'cancelled' || kind === 'closed');
  const lines = (last?.lines ?? []).map((line, index): OrderedLine => {
    const ordered = line.packs * line.packContainers;
    const received = receipts
      .filter((each) => each.kind === 'taken in' && each.line === index)
      .reduce((sum, { containers }) => sum + containers, 0);
    return { ...line, ordered, received, open: over ? 0 : Math.max(0, ordered - received) };
  });
  return { state: stateOf(acts, lines), lines, wantedBy: last?.wantedBy ?? null, totalCents: totalOf(lines) };
}

function stateOf(acts: readonly OrderAct[], lines: readonly OrderedLine[]): OrderState {
  const did = (kind: OrderActKind): boolean => acts.some((act) => act.kind === kind);
  if (did('cancelled')) return 'cancelled';
  if (did('closed')) return 'closed';
  if (!did('approved')) return 'draft';
  if (lines.every(({ open }) => open === 0)) return 'all in';
  if (lines.some(({ received }) => received > 0)) return 'partly in';
  return did('sent') ? 'sent' : 'approved';
}

/** What the lines cost together, in hundredths of the currency. Two packs at 12.50 are 2500. */
export function totalOf(lines: readonly Pick<OrderLine, 'packs' | 'priceCents'>[]): number {
  return lines.reduce((sum, { packs, priceCents }) => sum + packs * priceCents, 0);
}

/** What may be done with an order that stands somewhere. */
const BEFORE: Record<Exclude<OrderActKind, 'drafted'> | 'edited' | 'received', readonly OrderState[]> = {
  edited: ['draft'],
  approved: ['draft'],
  sent: ['approved'],
  cancelled: ['draft', 'approved', 'sent'],
  received: ['approved', 'sent', 'partly in', 'all in'],
  closed: ['partly in', 'sent', 'approved'],
};

/** Refuses what cannot be done with an order where it stands, saying where it stands. */
export function checkOrderAct(act: keyof typeof BEFORE, number: string, state: OrderState): void {
  if (BEFORE[act].includes(state)) return;
  const message = `Order ${number} is ${state === 'draft' ? 'a draft' : state}; it can be ${act} only while it is ${BEFORE[act].join(' or ')}.`;
  throw new Refusal('conflict', `order-${state.replaceAll(' ', '-')}`, message);
}

/** Refuses an act on an order that somebody else changed after it was looked at. `seen` is its version as it was shown. */
export function checkSeen(number: string, seen: number, version: number): void {
  if (seen === version) return;
  throw new Refusal(
    'conflict',
    'order-changed',
    `Order ${number} was changed after you opened it; look at it again, then decide.`,
  );
}

/** What may be odd about a delivery; each needs a reason, or the delivery is refused. */
export const RECEIPT_ODDITIES = ['substitute', 'short-dated', 'over-delivery'] as const;
export type ReceiptOddity = (typeof RECEIPT_ODDITIES)[number];

/** A delivery against a line, as far as it can be odd. */
export interface Delivery {
  containers: number;
  productCode: string;
  /** Days of use left; null when it does not expire. */
  daysLeft: number | null;
  /** Days of use that the supplier promises; null when nothing is promised. */
  promisedDays: number | null;
}

/**
 * What is odd about a delivery: another product than was ordered, fewer days of use than the supplier promises, more than
 * is still to come. `oddities({...line, open: 2}, {containers: 3, …})` holds 'over-delivery'.
 */
export function oddities(line: Pick<OrderedLine, 'productCode' | 'open'>, delivery: Delivery): ReceiptOddity[] {
  const { containers, productCode, daysLeft, promisedDays } = delivery;
  return [
    ...(productCode === line.productCode ? [] : ['substitute' as const]),
    ...(daysLeft !== null && promisedDays !== null && daysLeft < promisedDays ? ['short-dated' as const] : []),
    ...(containers > line.open ? ['over-delivery' as const] : []),
  ];
}
