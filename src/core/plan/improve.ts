import type { Activity, Model, Resource } from './model.js';
import { ORIGIN, type Network } from './network.js';
import { search, type Found } from './search.js';
import { placedAt, shareOut } from './share-out.js';
import { exclusivePairs, precede, type Aim } from './tighten.js';

/** How many nodes the search may spend on one stretch. */
const NODES = 60;

/** Asks for the orders that a schedule has chosen, by unit of each resource, but for what is free to move. */
export function keepOrders(network: Network, { resources }: Model, starts: number[], free: Set<number>): boolean {
  for (const resource of resources) {
    for (const lane of lanesOf(resource, starts, free)) {
      for (let k = 1; k < lane.length; k++) {
        const [a, b] = [lane[k - 1] as Activity, lane[k] as Activity];
        if ((a.end !== ORIGIN || b.start !== ORIGIN) && !precede(network, a, b)) return false;
      }
    }
  }
  return true;
}

/** What each unit of a resource does, one after the other. */
function lanesOf(resource: Resource, starts: number[], free: Set<number>): Activity[][] {
  const { work, taken, held, away, capacity } = resource;
  const second = (moment: number): number => starts[moment] as number;
  const kept = work.filter(({ start, end }) => !free.has(start) && !free.has(end));
  if (capacity === 1) return [placedAt([...taken, ...kept], second).map(({ activity }) => activity)];
  const placed = placedAt([...held, ...kept], second);
  const { units } = shareOut(placed, resource);
  return Array.from({ length: capacity }, (_, unit) => {
    const own = placed.filter((_, k) => units?.[k] === unit).map(({ activity }) => activity);
    return placedAt([...(away[unit] ?? []), ...own], second).map(({ activity }) => activity);
  });
}

/**
 * A schedule at least as good as the given one: takes a stretch of it, or one run, keeps all other orders and lets the
 * search find the best for the rest (large neighbourhood search), until `tries` are over, the aim is at its `bound` or
 * `mayGoOn` says no.
 */
export function improve(
  network: Network,
  model: Model,
  aim: Aim,
  given: Found,
  bound: number,
  tries: number,
  draw: (below: number) => number,
  mayGoOn: () => boolean,
): Found {
  let best = given;
  const all = exclusivePairs(model);
  for (let k = 0; k < tries && best.value > bound && mayGoOn(); k++) {
    const free = draw(4) === 0 ? oneRun(model, draw) : stretch(model, best.starts, draw);
    // Now and then something that is only as good, so as not to sit in a corner.
    const limit = draw(3) === 0 ? best.value : best.value - 1;
    const mark = network.mark();
    if (keepOrders(network, model, best.starts, free)) {
      let nodes = 0;
      // What is kept is in order already.
      const pairs = all.filter(({ a, b }) => [a.start, a.end, b.start, b.end].some((moment) => free.has(moment)));
      const found = search(network, model, pairs, aim, limit, bound, () => nodes++ < NODES && mayGoOn()).best;
      if (found) best = found;
    }
    network.backTo(mark);
  }
  return best;
}

function oneRun({ moments }: Model, draw: (below: number) => number): Set<number> {
  return new Set(moments[draw(moments.length)]);
}

function stretch({ size }: Model, starts: number[], draw: (below: number) => number): Set<number> {
  const inOrder = Array.from({ length: size - 1 }, (_, k) => k + 1).sort(
    (a, b) => (starts[a] as number) - (starts[b] as number),
  );
  const length = 10 + draw(30);
  const from = draw(inOrder.length + length) - length;
  return new Set(inOrder.slice(Math.max(from, 0), Math.max(from + length, 1)));
}
