import { Not } from 'typeorm';
import { microOf } from '../../core/ledger/amount.js';
import { withComponents } from '../../core/lot/expiry.js';
import { type ContainerFacts, whyUnusable } from '../../core/lot/facts.js';
import type { Limit } from '../../core/lot/lot.js';
import { preparedLimits } from '../../core/lot/receive.js';
import type { Quantity } from '../../core/recipe/quantity.js';
import { Refusal } from '../../core/refusal.js';
import { containerFacts } from '../questions/containers.js';
import { needLaboratory } from '../questions/laboratories.js';
import { gateWords } from '../questions/reagents.js';
import { ComponentRow, ContainerActRow, type ContainerRow, LotRow } from '../rows/stock.entity.js';
import { MovementRow } from '../rows/ledger.entity.js';
import type { Unit } from '../unit.js';
import { addContainer, type ReceivedContainer } from './add-container.js';
import { book, declaredUnit } from './book.js';

/** What is taken from a container into something that is made here; `at` names the field. */
export interface Taking {
  containerId: string;
  quantity: Quantity;
  /** Codes of reagents that fit; whatever it holds when absent. */
  wanted?: readonly string[];
  at: string;
}

/** Something made here out of containers. */
export interface Making {
  /** Code of the reagent that comes of it. */
  reagent: string;
  /** What the laboratory calls it. */
  number: string;
  /** Who made it. */
  source: string;
  /** ISO 8601 duration; null where nothing but the components limits it. */
  life: string | null;
  strength?: string | undefined;
  storage?: string | undefined;
  takings: readonly Taking[];
  containers: readonly ReceivedContainer[];
}

/**
 * Makes a lot of what is in containers: it ends with its own life and with those of everything in it, stands quarantined,
 * and its containers stand open. What was taken is debited, what was made is booked, and each component is kept for the
 * trace. The caller names what the act was about.
 */
export async function makeLot(
  unit: Unit,
  { reagent, number, source, life, strength, storage, takings, containers }: Making,
): Promise<{ lot: LotRow; containers: ContainerRow[]; components: ContainerFacts[] }> {
  const components = await usableComponents(unit, takings);
  const inherited = components.map(({ limits }) => limits);
  const { zone } = await needLaboratory(unit);
  const { at } = unit;
  const lot = await unit.insert(LotRow, {
    reagentCode: reagent,
    number,
    origin: 'prepared',
    source,
    receivedAt: at,
    limits: life === null ? withComponents([], inherited) : preparedLimits(at, life, inherited, zone),
    strength: strength ?? null,
    storage: storage ?? null,
  });
  await takeComponents(unit, lot.id, takings);
  const made: ContainerRow[] = [];
  for (const [i, given] of containers.entries()) {
    const container = await addContainer(unit, lot, given, i);
    made.push(container);
    // What is made here stands open from the start; its life is that of the preparation.
    await unit.insert(ContainerActRow, { containerId: container.id, at, personId: unit.personId, state: 'opened' });
    // A bath was debited when it was made up, so what is in it is on hand no more.
    if (container.micro !== null && container.vessel === null) {
      await book(unit, { kind: 'made', containerId: container.id, micro: container.micro, lotId: lot.id });
    }
  }
  return { lot, containers: made, components };
}

/** The facts of the containers that are taken from, each once; refuses any that may not be used now, naming every reason. */
export async function usableComponents(unit: Unit, takings: readonly Taking[]): Promise<ContainerFacts[]> {
  const facts = await containerFacts(
    unit,
    takings.map(({ containerId }) => containerId),
  );
  const inWords = await gateWords(unit);
  const problems = takings.flatMap(({ containerId, wanted, at }) => {
    const found = facts.find(({ id }) => id === containerId);
    if (!found) return [{ at, message: `there is no container ${containerId}` }];
    const codes = wanted ?? [found.reagent];
    const asked = codes.find((code) => found.reagent === code || found.acceptedAs?.includes(code)) ?? codes[0] ?? '';
    return whyUnusable(found, asked, { at: unit.at, uncertaintyMs: 0 }, false).map(({ message }) => ({
      at,
      message: inWords(message),
    }));
  });
  if (problems.length === 0) return facts;
  const message = `Nothing can be made of these: ${problems.map((each) => each.message).join('; ')}.`;
  throw new Refusal('conflict', 'unusable-component', message, problems);
}

/** Keeps and debits what went into a lot; a container of which nobody ever said how much it holds is not debited. */
export async function takeComponents(unit: Unit, lotId: string, takings: readonly Taking[]): Promise<void> {
  const facts = await containerFacts(
    unit,
    takings.map(({ containerId }) => containerId),
  );
  for (const { containerId, quantity, at } of takings) {
    const reagent = facts.find(({ id }) => id === containerId)?.reagent ?? '';
    const micro = microOf(quantity, await declaredUnit(unit, reagent), at);
    await unit.insert(ComponentRow, { lotId, containerId, at: unit.at, micro });
    if (!(await isCounted(unit, containerId))) continue;
    await told(at, () => book(unit, { kind: 'taken', containerId, micro: 0 - micro, lotId }));
  }
}

/** Whether the ledger knows anything of what a container holds. */
async function isCounted(unit: Unit, containerId: string): Promise<boolean> {
  return (await unit.count(MovementRow, { containerId, kind: Not('moved') })) > 0;
}

/** Says of a refusal which field it is about. */
async function told<T>(at: string, work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    if (!(error instanceof Refusal) || error.problems.length > 0) throw error;
    throw new Refusal(error.kind, error.code, error.message, [{ at, message: error.message }], error.extra);
  }
}

/** The limits of what was added, as those of the components of what it was added to, counted on from `before`. */
export function addedLimits(before: number, components: readonly ContainerFacts[]): Limit[] {
  return components.flatMap(({ limits }, n) =>
    limits.map(({ by, until }): Limit => ({ by: `component ${before + n + 1}: ${by}`, until })),
  );
}
