import { Refusal } from '../../core/refusal.js';
import { lotsMadeOf } from '../questions/trace/reach.js';
import { reagentName } from '../questions/reagents.js';
import { standingsOf } from '../questions/recalls.js';
import { RecallLotRow, RecallRow } from '../rows/lookback.entity.js';
import { LotActRow, LotRow } from '../rows/stock.entity.js';
import type { Unit } from '../unit.js';
import { openLookback } from './open-lookback.js';

/** Name of the job that counts what a recall touches and tells the people concerned; its target is the recall. */
export const RECALL_JOB = 'recall-touched';

/** What is recalled: all shipments of the lot that this one is of, or of a product's lot number. */
export type Recalled = { lotId: string } | { gtin: string; number: string };

export interface RecallWords {
  reason: string;
  /** What the maker or supplier wrote, or where it stands. */
  notice?: string;
  fileId?: string;
}

/**
 * Recalls a lot in all its shipments and every preparation made of it: each stands recalled from then on, which keeps its
 * containers from being used wherever they are; a lookback opens on the runs that used any of them, and people are told.
 * The caller names what the act was about.
 */
export async function recallLot(
  unit: Unit,
  what: Recalled,
  { reason, notice, fileId }: RecallWords,
): Promise<RecallRow> {
  const shipments = await shipmentsOf(unit, what);
  const [first] = shipments as [LotRow, ...LotRow[]];
  const recalled = await standingsOf(
    unit,
    shipments.map(({ id }) => id),
  );
  if (shipments.every(({ id }) => recalled.get(id) === 'recalled')) {
    throw new Refusal('conflict', 'unchanged', `Lot ${first.number} is recalled already.`);
  }
  const recall = await unit.insert(RecallRow, {
    reagentCode: first.reagentCode,
    number: first.number,
    gtin: first.gtin,
    at: unit.at,
    personId: unit.personId,
    reason,
    notice: notice ?? null,
    fileId: fileId ?? null,
  });
  const shipped = shipments.map(({ id }) => id);
  const made = await lotsMadeOf(unit, shipped);
  const before = await standingsOf(unit, made);
  for (const lotId of shipped) await setAside(unit, recall, lotId, 'shipment', reason, recalled.get(lotId));
  for (const lotId of made) {
    const why = `Made of lot ${first.number}, which is recalled: ${reason}`;
    await setAside(unit, recall, lotId, 'preparation', why, before.get(lotId));
  }
  await openLookback(unit, { cause: 'lot recalled', causeId: recall.id, reason });
  const also =
    made.length === 0 ? '' : ` and ${made.length === 1 ? 'the preparation' : `${made.length} preparations`} made of it`;
  await unit.tell(
    `recall:${recall.id}`,
    `Lot ${first.number} of ${await reagentName(unit, first.reagentCode)} is recalled${also}: set aside every container of it. ${reason}`,
    null,
    { path: `/stock/recalls/${recall.id}` },
  );
  await unit.enqueue(RECALL_JOB, recall.id);
  return recall;
}

async function setAside(
  unit: Unit,
  recall: RecallRow,
  lotId: string,
  part: RecallLotRow['part'],
  reason: string,
  standing: string | undefined,
): Promise<void> {
  await unit.insert(RecallLotRow, { recallId: recall.id, lotId, part });
  if (standing === 'recalled') return;
  await unit.insert(LotActRow, { lotId, at: unit.at, personId: unit.personId, standing: 'recalled', reason });
}

/** A lot that came in two deliveries stands in stock twice; both are of the batch that is recalled. */
async function shipmentsOf(unit: Unit, what: Recalled): Promise<LotRow[]> {
  if ('lotId' in what) {
    const lot = await unit.need(LotRow, { id: what.lotId }, `lot ${what.lotId}`);
    if (lot.origin === 'prepared') return [lot];
    const { reagentCode, number, gtin } = lot;
    const alike = await unit.all(LotRow, { reagentCode, number, origin: 'supplied' });
    return alike.filter((other) => other.id === lot.id || other.gtin === null || gtin === null || other.gtin === gtin);
  }
  const { gtin, number } = what;
  const found = await unit.all(LotRow, { gtin, number, origin: 'supplied' });
  if (found.length > 0) return found;
  const near = await unit.all(LotRow, { number, origin: 'supplied' });
  const hint =
    near.length === 0
      ? 'compare both with the notice; if nothing of it ever came here, there is nothing to recall.'
      : `lot ${number} is here as ${near.map((lot) => `${lot.reagentCode}${lot.gtin === null ? '' : ` (${lot.gtin})`}`).join(', ')}; recall that lot by itself if it is meant.`;
  throw new Refusal('not-found', 'not-found', `No lot ${number} of product ${gtin} was received here; ${hint}`);
}
