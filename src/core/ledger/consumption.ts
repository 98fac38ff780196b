import type { Protocol, Step } from '../protocol/protocol.js';
import { Refusal } from '../refusal.js';
import { containersFor, eventsOf, type Performance, type RunState } from '../run/state.js';
import type { Instant } from '../time/instant.js';
import { microOf } from './amount.js';

/** A container that a run may have taken from, as the ledger knows it before the run is booked. */
export interface TakenFrom {
  id: string;
  /** UCUM unit in which the ledger counts what it holds. */
  unit: string;
  /** Millionths of that unit. */
  onHand: number;
  /** A bath is debited once, when it is made up, never by the runs that go through it. */
  bath: boolean;
}

/** What to book of one container for a run, in millionths of its declared unit. */
export interface Consumption {
  containerId: string;
  /** What it gave, never more than the ledger says that it held. */
  micro: number;
  /** What the run took beyond that: it was in the bottle and not on paper, so a count is due. */
  shortMicro: number;
}

/** A run as far as its use of stock goes. */
export interface RunUse {
  protocol: Protocol;
  state: RunState;
  /** Specimens or slides in it, controls included. */
  slides: number;
}

/**
 * What a run took from the containers on its tray and is not booked yet: each performance of a step with `takes` takes
 * once, for each slide not spoiled by then or for the run; one that was changed for another is emptied on paper first.
 * `booked` is what earlier bookings of the same run covered, by container, so that none is booked twice. A take whose unit
 * no longer fits the container's is left out. Never refuses: what was used was used. Two slides at 0.2 mL from a bottle
 * with 0.3 mL left give `{ micro: 300_000, shortMicro: 100_000 }`.
 */
export function planConsumption(
  run: RunUse,
  containers: ReadonlyMap<string, TakenFrom>,
  booked: ReadonlyMap<string, number> = new Map(),
): Consumption[] {
  const taken = new Map<string, number>();
  const left = new Map([...containers.values()].map(({ id, onHand }) => [id, onHand + (booked.get(id) ?? 0)]));
  for (const { step, performances } of run.state.steps) {
    for (const performance of performances) takeOnce(run, step, performance, { containers, left, taken });
  }
  return [...taken].flatMap(([containerId, whole]): Consumption[] => {
    const open = whole - (booked.get(containerId) ?? 0);
    if (open <= 0) return [];
    const micro = Math.min(open, Math.max(0, containers.get(containerId)?.onHand ?? 0));
    return [{ containerId, micro, shortMicro: open - micro }];
  });
}

interface Taking {
  containers: ReadonlyMap<string, TakenFrom>;
  /** What each still holds on paper. */
  left: Map<string, number>;
  taken: Map<string, number>;
}

function takeOnce({ state, slides }: RunUse, step: Step, performance: Performance, taking: Taking): void {
  if (!step.takes || step.takes.amount === 0) return;
  const from = performance.started.stamp.at;
  const until = performance.ended?.stamp.at ?? from;
  const served = [...new Set(containersFor(state.tray, step, from, until).map(({ place }) => place.container))]
    .flatMap((id) => taking.containers.get(id) ?? [])
    .filter(({ bath }) => !bath);
  const times = step.takes.per === 'run' ? 1 : slides - spoiledBy(state, from);
  const [first] = served;
  if (!first || times <= 0) return;
  let open = wholeTake(step.takes, times, first.unit);
  if (open === null) return;
  for (const [n, { id }] of served.entries()) {
    const left = Math.max(0, taking.left.get(id) ?? 0);
    const isLast = n === served.length - 1;
    const given = isLast ? open : Math.min(open, left);
    taking.taken.set(id, (taking.taken.get(id) ?? 0) + given);
    taking.left.set(id, left - given);
    open -= given;
  }
}

function spoiledBy({ events }: RunState, at: Instant): number {
  const spoiled = eventsOf(events, 'subject-spoiled').filter(({ stamp }) => stamp.at <= at);
  return new Set(spoiled.map(({ data }) => data.subject)).size;
}

/** In millionths; null when the unit was right for the reagent once and is no longer. */
function wholeTake({ amount, unit }: { amount: number; unit: string }, times: number, declared: string): number | null {
  try {
    return microOf({ value: amount * times, unit }, declared, 'takes');
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}
