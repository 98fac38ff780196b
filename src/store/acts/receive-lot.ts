import { endsInCheckDigit } from '../../core/gs1/check-digit.js';
import { usableUntil } from '../../core/lot/expiry.js';
import type { IntendedUse, Limit } from '../../core/lot/lot.js';
import { openedUntil, suppliedLimits } from '../../core/lot/receive.js';
import { Refusal } from '../../core/refusal.js';
import { needLaboratory } from '../questions/laboratories.js';
import { needReagent } from '../questions/reagents.js';
import { LotRow } from '../rows/stock.entity.js';
import type { Unit } from '../unit.js';
import { addContainer, type ReceivedContainer } from './add-container.js';
import { book } from './book.js';
import { moveContainer } from './move-container.js';

/** One shipment of a supplier's lot, as it is taken into stock. */
export interface ReceivedLot {
  /** Code of the reagent in the catalogue. */
  reagent: string;
  /** As printed on the label. */
  number: string;
  gtin?: string;
  /** The supplier. */
  source: string;
  /** As printed, or as set here for a product without one. */
  expiry?: string;
  /** True when nothing was printed and this laboratory set the expiry. */
  expirySetHere?: boolean;
  openedLife?: string;
  strength?: string;
  storage?: string;
  intendedUse?: IntendedUse;
  /** The kit that it is a part of, and the lot number of that kit: both or neither. */
  kit?: string;
  kitLot?: string;
  productCode?: string;
  orderId?: string;
  /** What one container cost, in hundredths of the laboratory's currency. */
  priceCents?: number;
  /** Code of the storage place that the containers were put into. */
  place?: string;
  containers: readonly ReceivedContainer[];
}

/**
 * Takes one shipment of a supplied lot into stock, quarantined: a second delivery of the same lot is a lot of its own here
 * and is checked anew (ISO 15189:2022 6.6.3). Books what each container holds, where that is known. The caller names what
 * the act was about.
 */
export async function receiveLot(unit: Unit, wanted: ReceivedLot): Promise<LotRow> {
  const { number, source, containers, place } = wanted;
  const reagent = await needReagent(unit, wanted.reagent);
  const gtin = wanted.gtin === undefined ? null : wholeGtin(wanted.gtin);
  checkKit(wanted);
  const { zone } = await needLaboratory(unit);
  if (wanted.expiry === undefined) {
    const message =
      'expiry is missing; give it as printed, or the one that the laboratory sets for a product without one.';
    throw refused('no-expiry', 'expiry', message);
  }
  const limits = suppliedLimits(wanted.expiry, unit.at, zone);
  const openedLife = wanted.openedLife ?? reagent.openedLife ?? null;
  if (openedLife !== null) openedUntil(unit.at, openedLife, zone);
  await refuseOtherPrint(unit, wanted, gtin, limits);
  const lot = await unit.insert(LotRow, {
    reagentCode: reagent.code,
    number,
    gtin,
    origin: 'supplied',
    source,
    receivedAt: unit.at,
    expiry: wanted.expiry,
    expirySetHere: wanted.expirySetHere === true ? true : null,
    openedLife,
    limits,
    strength: wanted.strength ?? null,
    storage: wanted.storage ?? null,
    intendedUse: wanted.intendedUse ?? null,
    kit: wanted.kit ?? null,
    kitLot: wanted.kitLot ?? null,
    productCode: wanted.productCode ?? null,
    orderId: wanted.orderId ?? null,
    priceCents: wanted.priceCents ?? null,
  });
  for (const [i, given] of containers.entries()) {
    const { id, micro } = await addContainer(unit, lot, given, i);
    if (micro !== null) await book(unit, { kind: 'received', containerId: id, micro });
    if (place !== undefined) await moveContainer(unit, { containerId: id, place, field: 'place' });
  }
  return lot;
}

/** A GTIN with its leading zeros. */
export function wholeGtin(digits: string): string {
  if (endsInCheckDigit(digits)) return digits.padStart(14, '0');
  throw refused(
    'check-digit',
    'gtin',
    `The last digit of "${digits}" does not fit the others; compare it with the print.`,
  );
}

function checkKit({ kit, kitLot }: ReceivedLot): void {
  if ((kit === undefined) === (kitLot === undefined)) return;
  const missing = kit === undefined ? 'kit' : 'kitLot';
  const message = `${missing} is missing; a part of a kit has the kit's name and the kit's lot number as printed on its box.`;
  throw refused('half-kit', missing, message);
}

/** A lot number stands for one expiry, and a product's number for one reagent. */
async function refuseOtherPrint(unit: Unit, wanted: ReceivedLot, gtin: string | null, limits: Limit[]): Promise<void> {
  const { reagent, number } = wanted;
  const sameNumber = await unit.all(LotRow, { reagentCode: reagent, number, origin: 'supplied' });
  const other = sameNumber.find(
    (lot) =>
      usableUntil(lot.limits) !== usableUntil(limits) && (gtin === null || lot.gtin === null || lot.gtin === gtin),
  );
  if (other) {
    const message = `Lot ${number} of ${reagent} was received before with the expiry ${other.expiry}; compare both prints, one of them is wrong.`;
    throw new Refusal('conflict', 'other-expiry', message, [{ at: 'expiry', message }]);
  }
  const sameProduct =
    gtin === null ? null : (await unit.all(LotRow, { gtin })).find((lot) => lot.reagentCode !== reagent);
  if (sameProduct) {
    const message = `The product ${gtin} was received before as ${sameProduct.reagentCode}, not as ${reagent}; compare with the print.`;
    throw new Refusal('conflict', 'other-reagent', message, [{ at: 'gtin', message }]);
  }
}

function refused(code: string, at: string, message: string): Refusal {
  return new Refusal('invalid', code, message, [{ at, message }]);
}
