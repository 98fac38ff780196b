import type { Flow } from './flow.js';

const NOTHING = -1;

/** How a beam is held. */
export interface Beam {
  /** How many beginnings of a schedule are kept at each length. */
  width: number;
  /** How many hands-on moments a beginning is looked ahead. */
  ahead: number;
  /** How much a second of expected lateness weighs against a second of the aim. */
  caution: number;
  /** How much each moment further ahead counts of the one before it, from 0 to 1. */
  fade: number;
}

/** The beginning of a schedule: some steps of each run in the order in which hands come to them. */
interface Beginning {
  /** By moment, -1 where not there yet. */
  starts: Float64Array;
  /** By moment: the latest second, once the pair of hands must be elsewhere after it. */
  limits: Float64Array;
  /** By moment: what the same pair of hands does next. */
  thenHands: Int32Array;
  /** By stay, as `stayOf` numbers it: what enters the place that is left when it ends. */
  thenPlace: Int32Array;
  /** By run: how many of its steps are there. */
  count: Int16Array;
  /** By pair of hands: what it did last. */
  last: Int32Array;
  /** By station and place. */
  places: Slot[][];
  workLeft: number;
}

/** The last stay at a place: the moments that begin and end it, -1 for none; open while the one that ends it is not there. */
interface Slot {
  began: number;
  ends: number;
  open: boolean;
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
  /** Of each run under way: its next moment, from when it can be and until when it is due. */
  private readonly nextMoment: Int32Array;
  private readonly nextFrom: Float64Array;
  private readonly nextDue: Float64Array;

  constructor(
    private readonly flow: Flow,
    private readonly beam: Beam,
  ) {
    this.nextMoment = new Int32Array(flow.runs.length);
    this.nextFrom = new Float64Array(flow.runs.length);
    this.nextDue = new Float64Array(flow.runs.length);
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
      const value = placed ? this.outlook(parent, moment, person, below) : Number.POSITIVE_INFINITY;
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
      const free = ends === NOTHING ? 0 : this.endOf(beginning, ends);
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
      const free = last === NOTHING ? 0 : this.endOf(beginning, last);
      const start = this.startOf(beginning, moment, person, place);
      if (start < first || (start === first && start - free < idle))
        [best, first, idle] = [person, start, start - free];
    }
    return best;
  }

  private endOf({ starts }: Beginning, moment: number): number {
    return (starts[moment] as number) + (this.flow.handsOn[moment] as number);
  }

  private startOf(beginning: Beginning, moment: number, person: number, place: number): number {
    const { earliest, before, least, station, blocked, handsOn } = this.flow;
    let sec = earliest[moment] as number;
    const previous = before[moment] as number;
    if (previous !== NOTHING) {
      sec = Math.max(sec, (beginning.starts[previous] as number) + (least[previous] as number));
    }
    const slot = beginning.places[station[moment] as number]?.[place];
    if (slot && slot.ends !== NOTHING) sec = Math.max(sec, this.endOf(beginning, slot.ends));
    if (person === NOTHING) return sec;
    const last = beginning.last[person] as number;
    if (last !== NOTHING) sec = Math.max(sec, this.endOf(beginning, last));
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

  /**
   * What the aim can still become after the step, and how late the steps of the runs under way would be if hands always
   * went to what can start first: starting too much too early shows here.
   */
  private outlook(beginning: Beginning, moment: number, person: number, below: number): number {
    const { runs, before, after, earliest, latest, least, most, goal, toGoal, handsOn, runOf, blocked } = this.flow;
    const { starts, count, last, workLeft } = beginning;
    const free: number[] = [];
    let [sum, soonest] = [workLeft - (handsOn[moment] as number), Number.POSITIVE_INFINITY];
    for (let p = 0; p < last.length; p++) {
      const doing = p === person ? moment : (last[p] as number);
      const sec = doing === NOTHING ? 0 : this.endOf(beginning, doing);
      free.push(sec);
      sum += sec;
      soonest = Math.min(soonest, sec);
    }
    let value = this.flow.aimIsEverything ? sum / last.length : 0;
    const { nextMoment, nextFrom, nextDue } = this;
    let under = 0;
    for (let r = 0; r < runs.length; r++) {
      const there = (count[r] as number) + (r === runOf[moment] ? 1 : 0);
      const moments = runs[r] as number[];
      const m = moments[there];
      const g = goal[r] as number;
      if (g !== NOTHING && (starts[g] as number) !== NOTHING) {
        value = Math.max(value, (starts[g] as number) + (toGoal[g] as number));
      }
      if (m === undefined) continue;
      const b = before[m] as number;
      const from = Math.max(
        handsOn[m] === 0 ? 0 : soonest,
        earliest[m] as number,
        b === NOTHING ? 0 : (starts[b] as number) + (least[b] as number),
      );
      if (from > (latest[m] as number)) return Number.POSITIVE_INFINITY;
      if (g !== NOTHING && (starts[g] as number) === NOTHING) value = Math.max(value, from + (toGoal[m] as number));
      if (there === 0) continue;
      nextMoment[under] = m;
      nextFrom[under] = from;
      nextDue[under] = (starts[b] as number) + (most[b] as number);
      under++;
    }
    const { ahead, caution, fade } = this.beam;
    let late = 0;
    let weight = 1;
    for (let k = 0; k < ahead && under > 0 && value + caution * late < below; k++) {
      let who = 0;
      for (let p = 1; p < free.length; p++) if ((free[p] as number) < (free[who] as number)) who = p;
      const ready = free[who] ?? 0;
      let which = 0;
      let at = Number.POSITIVE_INFINITY;
      for (let i = 0; i < under; i++) {
        const from = nextFrom[i] as number;
        const sec = from > ready ? from : ready;
        if (sec < at || (sec === at && (nextDue[i] as number) < (nextDue[which] as number))) {
          which = i;
          at = sec;
        }
      }
      const m = nextMoment[which] as number;
      const length = handsOn[m] as number;
      const sec = length > 0 ? afterBlocked(blocked[who] ?? [], at, length) : (nextFrom[which] as number);
      if (sec > (nextDue[which] as number)) late += (sec - (nextDue[which] as number)) * weight;
      weight *= fade;
      if (length > 0) free[who] = sec + length;
      const then = after[m] as number;
      if (then === NOTHING) {
        under--;
        nextMoment[which] = nextMoment[under] as number;
        nextFrom[which] = nextFrom[under] as number;
        nextDue[which] = nextDue[under] as number;
      } else {
        nextMoment[which] = then;
        nextFrom[which] = sec + (least[m] as number);
        nextDue[which] = sec + (most[m] as number);
      }
    }
    return value + caution * late;
  }
}

/** The first second from `sec` on at which a pair of hands has `length` seconds in one piece. */
function afterBlocked(blocked: { from: number; to: number }[], sec: number, length: number): number {
  let at = sec;
  for (const { from, to } of blocked) if (from < at + length && to > at) at = to;
  return at;
}
