import type { Activity, Resource } from './activity.js';
import { orderOfTwins, type Model } from './model.js';
import { Network, ORIGIN, type Demand } from './network.js';
import { search, type Found } from './search.js';
import { placedAt, shareOut } from './share-out.js';
import { exclusivePairs, type Aim, type Pair } from './tighten.js';

/** How many nodes the search may spend on one stretch. */
const NODES = 60;

/** The orders that a schedule has chosen, by unit of each resource, but for what is free to move. */
export function chosenOrders({ resources }: Model, starts: number[], free: Set<number>): Demand[] {
  return resources.flatMap((resource) =>
    lanesOf(resource, starts, free).flatMap((lane) =>
      lane.slice(1).flatMap((b, k) => {
        const a = lane[k] as Activity;
        return a.end === ORIGIN && b.start === ORIGIN
          ? []
          : [{ from: a.end, to: b.start, weight: a.endLag - b.startLag }];
      }),
    ),
  );
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
  model: Model,
  aim: Aim,
  given: Found,
  bound: number,
  tries: number,
  draw: (below: number) => number,
  mayGoOn: () => boolean,
): Found {
  let best = given;
  const network = new Network(model.size);
  const demands = [...model.demands, ...orderOfTwins(model)];
  const pairs = exclusivePairs(model);
  for (let k = 0; k < tries && best.value > bound && mayGoOn(); k++) {
    const { starts } = best;
    const order = inOrder(starts);
    const free = draw(4) === 0 ? oneRun(model, draw) : stretch(order, draw);
    // Now and then something that is only as good, so as not to sit in a corner.
    const limit = draw(3) === 0 ? best.value : best.value - 1;
    const atMost = aim.terms.map(({ moment, lag }) => ({ from: moment, to: ORIGIN, weight: lag - limit }));
    if (!network.fill([...demands, ...atMost, ...chosenOrders(model, starts, free)], order)) continue;
    let nodes = 0;
    const found = search(
      network,
      model,
      openPairs(pairs, starts, free),
      aim,
      limit,
      bound,
      () => nodes++ < NODES && mayGoOn(),
    );
    if (found.best) best = found.best;
  }
  return best;
}

/** Pairs of which something is free, nearest first: an order with what is near mostly settles those with what is far. */
function openPairs(pairs: Pair[], starts: number[], free: Set<number>): Pair[] {
  const second = (moment: number, lag: number): number => (starts[moment] as number) + lag;
  return pairs
    .filter(({ a, b }) => free.has(a.start) || free.has(a.end) || free.has(b.start) || free.has(b.end))
    .map((pair) => ({
      pair,
      apart: Math.abs(second(pair.a.start, pair.a.startLag) - second(pair.b.start, pair.b.startLag)),
    }))
    .sort((a, b) => a.apart - b.apart)
    .map(({ pair }) => pair);
}

function inOrder(starts: number[]): number[] {
  return Array.from({ length: starts.length - 1 }, (_, k) => k + 1).sort(
    (a, b) => (starts[a] as number) - (starts[b] as number),
  );
}

function oneRun({ moments }: Model, draw: (below: number) => number): Set<number> {
  return new Set(moments[draw(moments.length)]);
}

function stretch(order: number[], draw: (below: number) => number): Set<number> {
  const length = 10 + draw(30);
  const from = draw(order.length + length) - length;
  return new Set(order.slice(Math.max(from, 0), Math.max(from + length, 1)));
}
