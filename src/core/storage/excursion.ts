import type { Instant } from '../time/instant.js';
import { isOutside, type Place } from './place.js';

/** What a thermometer of a place showed. */
export interface Reading {
  at: Instant;
  celsius: number;
}

/** A time during which a place was outside its limits; `until` is null while no reading was back inside. */
export interface ExcursionSpan {
  from: Instant;
  until: Instant | null;
}

/** What new readings mean for a place's excursions. */
export interface ExcursionChanges {
  /** Excursions that begin with these readings, some of which they end as well. */
  opened: ExcursionSpan[];
  /** When excursions that were open before are over, by their beginnings. */
  ended: { from: Instant; until: Instant }[];
}

/**
 * What readings, in any order, change in the excursions of a place: the first one outside its limits begins one, the next
 * one inside ends it. A late reading outside the limits begins one of its own unless it falls into one that is known; it
 * lasts until the next reading inside, old or new. `all` holds every reading of the place, the new ones included.
 */
export function excursionChanges(
  place: Pick<Place, 'min' | 'max'>,
  added: readonly Reading[],
  all: readonly Reading[],
  known: readonly ExcursionSpan[],
): ExcursionChanges {
  const inOrder = [...all].sort(byTime);
  const inside = inOrder.filter(({ celsius }) => !isOutside(celsius, place)).map(({ at }) => at);
  const nextInside = (from: Instant): Instant | null => inside.find((at) => at > from) ?? null;
  const ended = known.flatMap(({ from, until }) => {
    const end = until === null ? nextInside(from) : null;
    return end === null ? [] : [{ from, until: end }];
  });
  const before = known.map((each) => ended.find(({ from }) => from === each.from) ?? each);
  const opened: ExcursionSpan[] = [];
  for (const { at } of [...added].filter(({ celsius }) => isOutside(celsius, place)).sort(byTime)) {
    if ([...before, ...opened].some(({ from, until }) => from <= at && (until === null || at < until))) continue;
    opened.push({ from: at, until: nextInside(at) });
  }
  return { opened, ended };
}

function byTime(a: Reading, b: Reading): number {
  return a.at < b.at ? -1 : a.at > b.at ? 1 : 0;
}

/** A container's stay in a place; `until` is null while it is there. */
export interface Stay {
  containerId: string;
  from: Instant;
  until: Instant | null;
}

/** From when each container that lay in a place during an excursion was in it: the later of both beginnings. */
export function exposed(
  stays: readonly Stay[],
  { from, until }: ExcursionSpan,
): { containerId: string; from: Instant }[] {
  const found = new Map<string, Instant>();
  for (const stay of stays) {
    const begins = stay.from > from ? stay.from : from;
    const over = (until !== null && begins >= until) || (stay.until !== null && stay.until <= begins);
    const first = found.get(stay.containerId);
    if (!over && (first === undefined || begins < first)) found.set(stay.containerId, begins);
  }
  return [...found].map(([containerId, since]) => ({ containerId, from: since }));
}
