import type { ContainerFacts } from '../../core/lot/facts.js';
import { planConsumption, type TakenFrom } from '../../core/ledger/consumption.js';
import { USUAL_UNIT } from '../../core/ledger/amount.js';
import type { Reagent } from '../../core/protocol/protocol.js';
import { runState } from '../../core/run/state.js';
import type { Instant } from '../../core/time/instant.js';
import type { View } from '../view.js';
import { containerFacts } from './containers.js';
import { labelledContainer, usedByRun } from './ledger.js';
import { reagentsOf } from './reagents.js';
import { benchRunIds, loadRun } from './runs.js';

/** A container that is here, neither emptied nor discarded, with what the ledger says of it. */
export interface StockedContainer {
  id: string;
  label: string;
  reagent: string;
  lotId: string;
  lotNumber: string;
  /** As printed. */
  expiry: string | null;
  receivedAt: Instant;
  vessel: 'bath' | null;
  /** What it held when it came, in millionths; null when nobody said. */
  full: number | null;
  /** What one container of its lot cost, in hundredths. */
  priceCents: number | null;
  /** What it holds, in millionths; null while neither a receipt nor a count has said. */
  onHand: number | null;
  /** True when something was taken out of it. */
  used: boolean;
  /** Code of the storage place that it was moved to last. */
  place: string | null;
  countedAt: Instant | null;
  facts: ContainerFacts;
}

/** What stock to answer; an absent field does not choose. */
export interface StockChoice {
  reagent?: string | undefined;
  place?: string | undefined;
  /** Only reagents whose codes come after this one. */
  after?: string | undefined;
  /** How many reagents at most. */
  take: number;
}

const HERE = `NOT EXISTS (SELECT 1 FROM container_act gone WHERE gone.container_id = container.id
  AND gone.state IN ('emptied', 'discarded'))`;

const LAST_PLACE = `(SELECT put.place FROM movement put WHERE put.container_id = container.id AND put.place IS NOT NULL
  ORDER BY put.seq DESC, put.id DESC LIMIT 1)`;

/** Codes of the reagents of which something is here, in their order. */
async function reagentsHere(view: View, { reagent, after, take }: StockChoice): Promise<string[]> {
  const where = ['lot.laboratory_id = $1', HERE];
  const values: unknown[] = [view.laboratoryId];
  if (reagent !== undefined) where.push(`lot.reagent_code = $${values.push(reagent)}`);
  if (after !== undefined) where.push(`lot.reagent_code > $${values.push(after)}`);
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT DISTINCT lot.reagent_code AS code FROM lot JOIN container ON container.lot_id = lot.id
      WHERE ${where.join(' AND ')} ORDER BY code LIMIT ${take}`,
    values,
  )) as { code: string }[];
  return rows.map(({ code }) => code);
}

/** The stock of one reagent. */
export interface ReagentStock {
  reagent: Pick<Reagent, 'code' | 'name' | 'kind'>;
  /** UCUM unit in which it is counted. */
  unit: string;
  containers: StockedContainer[];
}

/** What is here, reagent by reagent in the order of their codes. */
export async function stockHere(view: View, choice: StockChoice): Promise<ReagentStock[]> {
  const codes = await reagentsHere(view, choice);
  if (codes.length === 0) return [];
  const containers = await containersOf(view, codes, choice.place);
  const reagents = new Map((await reagentsOf(view, codes)).map((each) => [each.code, each]));
  return codes.map((code) => {
    const { name, kind, unit } = reagents.get(code) ?? { name: code, kind: 'solution' as const, unit: undefined };
    return {
      reagent: { code, name, kind },
      unit: unit ?? USUAL_UNIT,
      containers: containers.filter(({ reagent }) => reagent === code),
    };
  });
}

type Stored = Omit<StockedContainer, 'facts' | 'onHand' | 'used'> & {
  movements: number | string;
  held: number | string;
  taken: number | string;
};

async function containersOf(view: View, codes: readonly string[], place?: string): Promise<StockedContainer[]> {
  const values: unknown[] = [view.laboratoryId, ...codes];
  const inPlace = place === undefined ? '' : ` AND ${LAST_PLACE} = $${values.push(place)}`;
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT container.id, container.label, lot.reagent_code AS reagent, lot.id AS "lotId", lot.number AS "lotNumber",
        lot.expiry, lot.received_at AS "receivedAt", container.vessel, container.micro AS "full",
        lot.price_cents AS "priceCents", ${LAST_PLACE} AS place,
        (SELECT MAX(stock_count.at) FROM stock_count WHERE stock_count.container_id = container.id) AS "countedAt",
        COUNT(movement.id) + COUNT(balance.id) AS movements,
        COALESCE(MAX(balance.micro), 0) + COALESCE(SUM(movement.micro), 0) AS held,
        COUNT(CASE WHEN movement.kind IN ('used', 'taken') THEN 1 END) + COUNT(balance.id) AS taken
      FROM container JOIN lot ON lot.id = container.lot_id
      LEFT JOIN balance ON balance.container_id = container.id
        AND balance.up_to = (SELECT MAX(up_to) FROM balance last WHERE last.container_id = container.id)
      LEFT JOIN movement ON movement.container_id = container.id AND movement.seq > COALESCE(balance.up_to, 0)
        AND movement.kind <> 'moved'
      WHERE lot.laboratory_id = $1 AND lot.reagent_code IN (${codes.map((_, n) => `$${n + 2}`).join(', ')})
        AND ${HERE}${inPlace}
      GROUP BY container.id, container.label, lot.reagent_code, lot.id, lot.number, lot.expiry, lot.received_at,
        container.vessel, container.micro, lot.price_cents
      ORDER BY container.id`,
    values,
  )) as Stored[];
  const facts = new Map<string, ContainerFacts>();
  for (let from = 0; from < rows.length; from += CHUNK) {
    const ids = rows.slice(from, from + CHUNK).map(({ id }) => id);
    for (const each of await containerFacts(view, ids)) facts.set(each.id, each);
  }
  return rows.flatMap(({ movements, held, taken, ...row }) => {
    const known = facts.get(row.id);
    if (!known) return [];
    return [{ ...row, onHand: Number(movements) > 0 ? Number(held) : null, used: Number(taken) > 0, facts: known }];
  });
}

/** Fewer ids than any database takes in one statement. */
const CHUNK = 5_000;

/** What the runs on the benches have taken and the ledger will book when they are cleared, in millionths by container. */
export async function promisedByRuns(view: View): Promise<Map<string, number>> {
  const promised = new Map<string, number>();
  for (const id of await benchRunIds(view)) {
    const { revision, subjects, events } = await loadRun(view, id);
    const protocol = revision.content;
    if (!protocol.steps.some(({ takes }) => takes)) continue;
    const state = runState(protocol, events);
    const containers = new Map<string, TakenFrom>();
    for (const tray of new Set(state.tray.map(({ container }) => container))) {
      const { reagentCode, vessel } = await labelledContainer(view, tray);
      const [reagent] = await reagentsOf(view, [reagentCode]);
      const unit = reagent?.unit ?? USUAL_UNIT;
      // How much is there does not matter to what was taken.
      containers.set(tray, { id: tray, unit, onHand: Number.MAX_SAFE_INTEGER, bath: vessel === 'bath' });
    }
    const use = { protocol, state, slides: subjects.length };
    for (const { containerId, micro } of planConsumption(use, containers, await usedByRun(view, id)))
      promised.set(containerId, (promised.get(containerId) ?? 0) + micro);
  }
  return promised;
}
