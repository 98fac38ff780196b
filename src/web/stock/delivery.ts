import { writtenQuantity } from '../../core/ledger/written.js';
import type { IntendedUse } from '../../core/lot/lot.js';
import type { NewLot, Scanned } from '../api.paths.js';
import { typedNumber } from '../parts/typed-number.js';
import { STOCK } from './words.js';

const words = STOCK.in;

export interface NewContainer {
  /** Tells rows apart while they are edited. */
  key: number;
  serial: string;
  size: string;
  /** What it holds for the ledger, as a number. */
  amount: string;
  /** Its unit; empty for that in which the reagent is counted. */
  unit: string;
  /** Our own label, when it carries one already. */
  label: string;
}

/** A delivery as it is typed: texts, empty where nothing was given. */
export interface Delivery {
  reagent: string;
  number: string;
  gtin: string;
  source: string;
  expiry: string;
  openedDays: string;
  strength: string;
  storage: string;
  expirySetHere: boolean;
  intendedUse: IntendedUse | '';
  kit: string;
  kitLot: string;
  place: string;
  /** Of one container, such as '12.50'. */
  price: string;
  containers: readonly NewContainer[];
}

export const ANEW: Delivery = {
  reagent: '',
  number: '',
  gtin: '',
  source: '',
  expiry: '',
  openedDays: '',
  strength: '',
  storage: '',
  expirySetHere: false,
  intendedUse: '',
  kit: '',
  kitLot: '',
  place: '',
  price: '',
  containers: [{ key: 0, serial: '', size: '', amount: '', unit: '', label: '' }],
};

/** One more container, which holds as much as the last one. */
export function oneMore(containers: readonly NewContainer[], known: Partial<NewContainer> = {}): NewContainer[] {
  const last = containers.at(-1);
  const { size = '', amount = '', unit = '' } = last ?? {};
  return [...containers, { ...{ serial: '', label: '', size, amount, unit }, ...known, key: (last?.key ?? -1) + 1 }];
}

/** Units of volume and mass as they stand on bottles; others, such as a kit, tell the ledger nothing by themselves. */
const ON_BOTTLES = /^[munkµμ]?(L|l|g)$/;

/** A container whose size was typed: the amount follows it until a person has typed another one. */
export function withSize(container: NewContainer, size: string): NewContainer {
  const before = amountIn(container.size);
  const follows = container.amount === '' || (container.amount === before.amount && container.unit === before.unit);
  return { ...container, size, ...(follows && amountIn(size)) };
}

function amountIn(size: string): Pick<NewContainer, 'amount' | 'unit'> {
  const written = writtenQuantity(size);
  if (!written || !ON_BOTTLES.test(written.unit)) return { amount: '', unit: '' };
  return { amount: String(written.value), unit: written.unit.replace(/[µμ]/, 'u') };
}

/** Whether an amount was typed that is none. */
export function wrongAmount(text: string): boolean {
  return text.trim() !== '' && !(typedNumber(text) > 0);
}

/** What a scan makes of a delivery, and what to tell the person; what was typed is never overwritten by another value. */
export function afterScan(
  delivery: Delivery,
  { gs1, lot, container, reagent, message, needsConfirmation }: Scanned,
  text: string,
): { delivery: Delivery; said: string } {
  if (container) return { delivery, said: words.hereAlready(container.label) };
  if (/^SW1:[CP]:/i.test(text)) {
    return { delivery: withContainer(delivery, { label: text }), said: words.added };
  }
  if (!gs1) return { delivery, said: message };
  if (delivery.number !== '' && gs1.lot !== undefined && gs1.lot !== delivery.number) {
    return { delivery, said: words.another(delivery.number, gs1.lot) };
  }
  // What may have been torn apart wrongly is typed from the print.
  const [number, serial] = needsConfirmation ? [] : [gs1.lot, gs1.serial];
  if (serial !== undefined && delivery.containers.some((each) => each.serial === serial)) {
    return { delivery, said: words.twice(serial) };
  }
  const filled: Delivery = {
    ...delivery,
    reagent: delivery.reagent || (lot?.reagent ?? reagent?.code ?? ''),
    number: delivery.number || (number ?? ''),
    gtin: delivery.gtin || (gs1.gtin ?? ''),
    expiry: delivery.expiry || (gs1.expiry ?? ''),
    source: delivery.source || (lot?.source ?? ''),
    strength: delivery.strength || (lot?.strength ?? ''),
    storage: delivery.storage || (lot?.storage ?? ''),
  };
  return {
    delivery: serial === undefined ? filled : withContainer(filled, { serial }),
    said: needsConfirmation ? words.fromPrint : lot ? words.known(lot.number) : words.added,
  };
}

/** Puts what was read on the first container that lacks it, or on one more. */
function withContainer(delivery: Delivery, known: { serial: string } | { label: string }): Delivery {
  const [key] = Object.keys(known) as ('serial' | 'label')[];
  const free = delivery.containers.find((each) => key !== undefined && each[key] === '' && isBlank(each));
  const containers = free
    ? delivery.containers.map((each) => (each === free ? { ...each, ...known } : each))
    : oneMore(delivery.containers, known);
  return { ...delivery, containers };
}

function isBlank({ serial, label }: NewContainer): boolean {
  return serial === '' && label === '';
}

/** What has to be there before it can be received. */
export function missingIn({ reagent, number, source, expiry, containers }: Delivery): string[] {
  return [
    ...(reagent === '' ? [words.reagent] : []),
    ...(number.trim() === '' ? [words.number] : []),
    ...(expiry.trim() === '' ? [words.expiry] : []),
    ...(source.trim() === '' ? [words.source] : []),
    ...(containers.length === 0 ? [words.containers] : []),
  ].map((word) => word.toLowerCase());
}

/** Whether a number of days was typed that is none. */
export function wrongNumber(text: string): boolean {
  return text.trim() !== '' && !/^[1-9]\d{0,4}$/.test(text.trim());
}

/** Whether a price was typed that is none. */
export function wrongPrice(text: string): boolean {
  return text.trim() !== '' && !/^\d{1,7}([.,]\d{1,2})?$/.test(text.trim());
}

/** What is sent; `counted` is the unit in which the reagent is counted. */
export function bodyOf(delivery: Delivery, counted: string): NewLot {
  const { reagent, containers } = delivery;
  const given = Object.fromEntries(
    (['gtin', 'strength', 'storage', 'intendedUse', 'kit', 'kitLot', 'place'] as const).flatMap((key) => {
      const text = delivery[key].trim();
      return text === '' ? [] : [[key, text]];
    }),
  );
  const days = delivery.openedDays.trim();
  return {
    reagent,
    number: delivery.number.trim(),
    source: delivery.source.trim(),
    expiry: delivery.expiry.trim(),
    ...(days !== '' && { openedLife: `P${days}D` }),
    ...(delivery.expirySetHere && { expirySetHere: true }),
    ...(delivery.price.trim() !== '' && { priceCents: Math.round(Number(delivery.price.replace(',', '.')) * 100) }),
    ...given,
    containers: containers.map(({ serial, size, amount, unit, label }) => ({
      ...(serial.trim() !== '' && { serial: serial.trim() }),
      ...(size.trim() !== '' && { size: size.trim() }),
      ...(amount.trim() !== '' && { amount: { value: typedNumber(amount), unit: unit.trim() || counted } }),
      ...(label !== '' && { label }),
    })),
  };
}
