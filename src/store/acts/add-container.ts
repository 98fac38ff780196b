import { LABEL_KINDS, type LabelKind, makeLabel, readLabel } from '../../core/gs1/label.js';
import { microOf } from '../../core/ledger/amount.js';
import { writtenQuantity } from '../../core/ledger/written.js';
import type { Quantity } from '../../core/recipe/quantity.js';
import { Refusal } from '../../core/refusal.js';
import { labelTaken, unusedLabel } from '../questions/labels.js';
import { containersBySerial } from '../questions/lots.js';
import { ContainerRow, type LotRow } from '../rows/stock.entity.js';
import type { Unit } from '../unit.js';
import { declaredUnit } from './book.js';

/** A container of a lot that is taken into stock. */
export interface ReceivedContainer {
  /** Text of our own label on it, when it carries one already. */
  label?: string;
  /** The maker's serial number. */
  serial?: string;
  /** What it holds as printed, such as '500 mL'. */
  size?: string;
  /** What it holds, when the size does not say it or says it otherwise. */
  amount?: Quantity;
  /** A bath; a bottle or a box when left out. */
  vessel?: 'bath';
}

/**
 * Adds a container to a lot, labelled, with what it holds in millionths of the declared unit (null when nobody said);
 * books nothing. `index` is its place in the list that was asked, for the names of fields.
 */
export async function addContainer(
  unit: Unit,
  lot: LotRow,
  { label: given, serial, size, amount, vessel }: ReceivedContainer,
  index: number,
): Promise<ContainerRow> {
  const kind: LabelKind = lot.origin === 'prepared' ? 'P' : 'C';
  const label = given === undefined ? await unusedLabel(unit, kind) : await ownLabel(unit, given, kind, index);
  if (serial !== undefined && (await containersBySerial(unit, lot.reagentCode, serial)).length > 0) {
    const message = `A container of ${lot.reagentCode} with the serial number ${serial} is here already.`;
    throw new Refusal('conflict', 'serial-taken', message, [{ at: `containers.${index}.serial`, message }]);
  }
  const declared = await declaredUnit(unit, lot.reagentCode);
  const micro = amount ? microOf(amount, declared, `containers.${index}.amount`) : printedMicro(size, declared);
  return unit.insert(ContainerRow, {
    lotId: lot.id,
    label,
    serial: serial ?? null,
    size: size ?? null,
    micro,
    vessel: vessel ?? null,
  });
}

/** What a printed size says, when it says it in a unit that fits; a print such as '1 kit' says nothing to the ledger. */
function printedMicro(size: string | undefined, declared: string): number | null {
  const written = size === undefined ? undefined : writtenQuantity(size);
  if (!written) return null;
  try {
    return microOf(written, declared, 'size');
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}

/** A label that a container carries already: right in itself, of the right kind and on nothing else. */
async function ownLabel(unit: Unit, given: string, kind: LabelKind, index: number): Promise<string> {
  const at = `containers.${index}.label`;
  const refused = (code: string, message: string) => new Refusal('invalid', code, message, [{ at, message }]);
  const read = readLabel(given);
  if (!read.valid) throw refused('bad-label', read.error.message);
  if (read.kind !== kind) {
    const message = `"${given}" is a label for a ${LABEL_KINDS[read.kind]}; a ${LABEL_KINDS[kind]} has SW1:${kind}:….`;
    throw refused('other-kind', message);
  }
  const label = makeLabel(kind, read.id);
  if (await labelTaken(unit, label)) {
    const message = `The label ${label} is on another thing already; take a new one.`;
    throw new Refusal('conflict', 'label-taken', message, [{ at, message }]);
  }
  return label;
}
