import { afterBlocked, type Beginning, endOf, type Slot } from './beginning.js';
import { type Flow, NOTHING } from './flow.js';
import { type LookAhead, Outlook } from './outlook.js';

/** How a beam is held. */
export interface Beam extends LookAhead {
  /** How many beginnings of a schedule are kept at each length. */
  width: number;
}

interface Step {
  parent: Beginning;
  moment: number;
  person: number;
  place: number;
  value: number;
}

/** How much of one vector of counts may be kept: beginnings with the same steps differ too little. */
const ALIKE = 3;

/**
 * Builds schedules from front to back, keeping the best beginnings of each length: each candidate is the next step of
 * one run on the pair of hands that is free first, its start and those before it pushed later as the longest waits ask,
 * its value the least that the aim can still be plus the lateness to be expected of the runs under way. Starts by
 * moment, or null when every beginning came to an end, which proves nothing. Takes no longer than `mayGoOn` allows.
 * `first` are the moments to begin with, in the order in which another schedule has them.
 */
export function buildByBeam(
  flow: Flow,
  beam: Beam,
  below: number,
  mayGoOn: () => boolean,
  first: number[] = [],
): number[] | null {
  const builder = new Builder(flow, beam);
  const followed = builder.follow(first);
  let kept = [followed];
  for (let length = followed.count.reduce((a, b) => a + b, 0); length < flow.size - 1; length++) {
    if (!mayGoOn()) return null;
    const steps: Step[] = [];
    for (const parent of kept) builder.steps(parent, below, steps);
    steps.sort((a, b) => a.value - b.value);
    kept = [];
    const alike = new Map<string, number>();
    for (const step of steps) {
      if (kept.length >= beam.width) break;
      const next = builder.take(step);
      const key = next.count.join(' ');
      const known = alike.get(key) ?? 0;
      if (known >= ALIKE) continue;
      alike.set(key, known + 1);
      kept.push(next);
    }
  }
  const values = kept.map(({ starts }) => builder.valueOf(starts));
  const best = kept[values.indexOf(Math.min(...values))];
  return best ? [0, ...best.starts.slice(1)] : null;
}

class Builder {
  private readonly raised: { moment: number; was: number }[] = [];
  private readonly queue: number[] = [];
  private readonly outlook: Outlook;

  constructor(
    private readonly flow: Flow,
    ahead: LookAhead,
  ) {
    this.outlook = new Outlook(flow, ahead);
  }

  begin(): Beginning {
    const { size, runs, begun, blocked, places, latest, station, work } = this.flow;
    const start: Beginning = {
      starts: new Float64Array(size).fill(NOTHING),
      limits: latest.slice(),
      thenHands: new Int32Array(size).fill(NOTHING),
      thenPlace: new Int32Array(2 * size).fill(NOTHING),
      count: new Int16Array(runs.length),
      last: new Int32Array(blocked.length).fill(NOTHING),
      places: places.map((capacity) =>
        Array.from({ length: capacity }, () => ({ began: NOTHING, ends: NOTHING, open: false })),
      ),
      workLeft: work,
    };
    for (const { moment, sec } of begun) {
      start.starts[moment] = sec;
      const r = this.flow.runOf[moment] as number;
      start.count[r] = (start.count[r] as number) + 1;
      this.closeStays(start, moment);
      const slot = start.places[station[moment] as number]?.find(({ open }) => !open);
      if (slot) Object.assign(slot, this.stayFrom(moment));
    }
    return start;
  }

  /** The beginning that takes the given steps in their order, as far as they can be taken so. */
  follow(first: number[]): Beginning {
    let beginning = this.begin();
    for (const moment of first) {
      const steps: Step[] = [];
      this.steps(beginning, Number.POSITIVE_INFINITY, steps);
      const step = steps.find((each) => each.moment === moment);
      // With hands shared out otherwise, or another place taken, the order may not hold any more.
      if (!step) break;
      beginning = this.take(step);
    }
    return beginning;
  }

  /** Adds what may come next to `steps`. */
  steps(parent: Beginning, below: number, steps: Step[]): void {
    const { runs, twin } = this.flow;
    runs.forEach((moments, r) => {
      const moment = moments[parent.count[r] as number];
      if (moment === undefined) return;
      const ahead = twin[r] as number;
      if (ahead !== NOTHING && (parent.count[ahead] as number) <= (parent.count[r] as number)) return;
      const place = this.freePlace(parent, moment);
      if (place === null) return;
      const person = this.freePerson(parent, moment, place);
      if (person === null) return;
      const placed = this.push(parent, moment, person, place);
      const value = placed ? this.outlook.of(parent, moment, person, below) : Number.POSITIVE_INFINITY;
      this.takeBack(parent, moment, person, place);
      if (value < below) steps.push({ parent, moment, person, place, value });
    });
  }

  take({ parent, moment, person, place }: Step): Beginning {
    const { handsOn, station, runOf } = this.flow;
    const next: Beginning = {
      ...parent,
      starts: parent.starts.slice(),
      limits: parent.limits.slice(),
      thenHands: parent.thenHands.slice(),
      thenPlace: parent.thenPlace.slice(),
      count: parent.count.slice(),
      last: parent.last.slice(),
      places: parent.places.map((places) => places.map((slot) => ({ ...slot }))),
      workLeft: parent.workLeft - (handsOn[moment] as number),
    };
    this.push(next, moment, person, place);
    this.raised.length = 0;
    const r = runOf[moment] as number;
    next.count[r] = (next.count[r] as number) + 1;
    if (person !== NOTHING) next.last[person] = moment;
    this.closeStays(next, moment);
    const slot = next.places[station[moment] as number]?.[place];
    if (slot) Object.assign(slot, this.stayFrom(moment));
    return next;
  }

  valueOf(starts: Float64Array): number {
    const { goal, toGoal } = this.flow;
    let value = 0;
    for (const m of goal) if (m !== NOTHING) value = Math.max(value, (starts[m] as number) + (toGoal[m] as number));
    return value;
  }

  /** The stay that begins with a moment. */
  private stayFrom(moment: number): Slot {
    const ends = this.flow.stayEnds[moment] as number;
    return { began: moment, ends, open: ends !== moment };
  }

  /**
   * The number of a place's last stay, -1 for none. A last step may end the stay of the step before and one of its own, so
   * that a moment has two numbers.
   */
  private stayOf(slot: Slot | undefined): number {
    if (!slot || slot.ends === NOTHING) return NOTHING;
    return slot.began === slot.ends ? this.flow.size + slot.ends : slot.ends;
  }

  private closeStays(beginning: Beginning, moment: number): void {
    for (const places of beginning.places) {
      for (const slot of places) if (slot.open && slot.ends === moment) slot.open = false;
    }
  }

  /** The place of the step's station that is free first; -1 when it needs none, null when all are taken. */
  private freePlace(beginning: Beginning, moment: number): number | null {
    const station = this.flow.station[moment] as number;
    if (station === NOTHING) return NOTHING;
    let best: number | null = null;
    let first = Number.POSITIVE_INFINITY;
    (beginning.places[station] ?? []).forEach(({ ends, open }, place) => {
      // A stay that ends with the hands-on moment of this very step makes room only after it.
      if (open) return;
      const free = ends === NOTHING ? 0 : endOf(this.flow, beginning, ends);
      if (free < first) [best, first] = [place, free];
    });
    return best;
  }

  /** The pair of hands that can do the step first; of several the one that waited least. */
  private freePerson(beginning: Beginning, moment: number, place: number): number | null {
    if (this.flow.handsOn[moment] === 0) return NOTHING;
    let best: number | null = null;
    let [first, idle] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
    for (let person = 0; person < beginning.last.length; person++) {
      const last = beginning.last[person] as number;
      const free = last === NOTHING ? 0 : endOf(this.flow, beginning, last);
      const start = this.startOf(beginning, moment, person, place);
      if (start < first || (start === first && start - free < idle))
        [best, first, idle] = [person, start, start - free];
    }
    return best;
  }

  private startOf(beginning: Beginning, moment: number, person: number, place: number): number {
    const { earliest, before, least, station, blocked, handsOn } = this.flow;
    let sec = earliest[moment] as number;
    const previous = before[moment] as number;
    if (previous !== NOTHING) {
      sec = Math.max(sec, (beginning.starts[previous] as number) + (least[previous] as number));
    }
    const slot = beginning.places[station[moment] as number]?.[place];
    if (slot && slot.ends !== NOTHING) sec = Math.max(sec, endOf(this.flow, beginning, slot.ends));
    if (person === NOTHING) return sec;
    const last = beginning.last[person] as number;
    if (last !== NOTHING) sec = Math.max(sec, endOf(this.flow, beginning, last));
    return afterBlocked(blocked[person] ?? [], sec, handsOn[moment] as number);
  }

  /** Gives the step its start and pushes others later where it asks for that; false when they cannot. */
  private push(beginning: Beginning, moment: number, person: number, place: number): boolean {
    const { starts, limits, thenHands, thenPlace, last, places } = beginning;
    const { size, before, after, least, most, handsOn, blocked, latest, station } = this.flow;
    const sec = this.startOf(beginning, moment, person, place);
    starts[moment] = sec;
    limits[moment] = latest[moment] as number;
    if (person !== NOTHING) {
      const next = blocked[person]?.find(({ from }) => from >= sec);
      if (next) limits[moment] = Math.min(limits[moment] as number, next.from - (handsOn[moment] as number));
      if (last[person] !== NOTHING) thenHands[last[person] as number] = moment;
    }
    const left = this.stayOf(places[station[moment] as number]?.[place]);
    if (left !== NOTHING) thenPlace[left] = moment;
    if (sec > (limits[moment] as number)) return false;

    const { queue } = this;
    queue.length = 0;
    const raise = (m: number, to: number): boolean => {
      if (m === NOTHING || (starts[m] as number) === NOTHING || to <= (starts[m] as number)) return true;
      // What has just been given its earliest start can only be pushed by itself: a circle without end.
      if (m === moment || to > (limits[m] as number)) return false;
      this.raised.push({ moment: m, was: starts[m] as number });
      starts[m] = to;
      queue.push(m);
      return true;
    };
    const previous = before[moment] as number;
    if (previous !== NOTHING && !raise(previous, sec - (most[previous] as number))) return false;
    for (let q = 0; q < queue.length; q++) {
      const m = queue[q] as number;
      const at = starts[m] as number;
      const done = at + (handsOn[m] as number);
      const b = before[m] as number;
      if (!raise(after[m] as number, at + (least[m] as number))) return false;
      if (b !== NOTHING && !raise(b, at - (most[b] as number))) return false;
      if (!raise(thenHands[m] as number, done) || !raise(thenPlace[m] as number, done)) return false;
      if (!raise(thenPlace[size + m] as number, done)) return false;
    }
    return true;
  }

  private takeBack(beginning: Beginning, moment: number, person: number, place: number): void {
    const { starts, thenHands, thenPlace, last, places, limits } = beginning;
    for (let k = this.raised.length - 1; k >= 0; k--) {
      const { moment: m, was } = this.raised[k] as { moment: number; was: number };
      starts[m] = was;
    }
    this.raised.length = 0;
    starts[moment] = NOTHING;
    limits[moment] = this.flow.latest[moment] as number;
    if (person !== NOTHING && last[person] !== NOTHING) thenHands[last[person] as number] = NOTHING;
    const left = this.stayOf(places[this.flow.station[moment] as number]?.[place]);
    if (left !== NOTHING) thenPlace[left] = NOTHING;
  }
}
