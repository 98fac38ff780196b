import { afterBlocked } from './beginning.js';
import { type Flow, NOTHING } from './flow.js';

/** An order whose starts still push each other later after so many passes hardly ever comes to an end. */
const MOST_PASSES = 60;

/** The schedule that an order makes, and whom each moment waits for in it. */
export interface Built {
  /** By moment. */
  starts: Float64Array;
  /** By moment: what the same pair of hands did before it, and what left the place that it enters; -1 for none. */
  handsBefore: Int32Array;
  placeBefore: Int32Array;
}

/**
 * Makes the schedule of an order of all moments that have not begun: each gets the pair of hands and the place that are
 * free first, and the first start that these, its run and the order leave. Where a longest wait would be broken the step
 * before starts later, and the order is gone through again from there.
 */
export class OrderBuilder {
  /** First the pairs of hands, then the places of each station: when each is free and what it did last. */
  private readonly free: Float64Array;
  private readonly last: Int32Array;
  private readonly firstPlace: Int32Array;
  private readonly persons: number;
  /** What `free` and `last` were before each moment of the order, and before the first of them. */
  private readonly freeBefore: Float64Array;
  private readonly lastBefore: Int32Array;
  private readonly freeAtFirst: Float64Array;
  /** By moment: the place of the stay that it begins, and the moment that began the stay which it ends. */
  private readonly placeOf: Int32Array;
  private readonly stayOf: Int32Array;

  constructor(private readonly flow: Flow) {
    const { size, blocked, places, begun, station, stayEnds, handsOn } = flow;
    this.persons = blocked.length;
    this.firstPlace = new Int32Array(places.length + 1).fill(this.persons);
    places.forEach((capacity, s) => (this.firstPlace[s + 1] = (this.firstPlace[s] as number) + capacity));
    const width = this.firstPlace[places.length] as number;
    this.free = new Float64Array(width);
    this.last = new Int32Array(width);
    this.freeBefore = new Float64Array(width * size);
    this.lastBefore = new Int32Array(width * size);
    this.freeAtFirst = new Float64Array(width);
    this.placeOf = new Int32Array(size).fill(NOTHING);
    this.stayOf = new Int32Array(size).fill(NOTHING);
    station.forEach((s, m) => {
      const end = stayEnds[m] as number;
      if (s !== NOTHING && end !== m) this.stayOf[end] = m;
    });
    this.free.set(this.freeAtFirst);
    for (const { moment, sec } of begun) this.occupy(moment, this.placeFor(moment), sec + (handsOn[moment] as number));
    this.freeAtFirst.set(this.free);
  }

  /** False when the order makes more than `limit` of the aim or no schedule, which leaves `built` half done. */
  build(order: ArrayLike<number>, position: Int32Array, limit: number, built: Built): boolean {
    const { flow, free, last, freeBefore, lastBefore, stayOf } = this;
    const { before, least, most, handsOn, station, latest, toGoal } = flow;
    const { starts, handsBefore, placeBefore } = built;
    const width = free.length;
    starts.set(flow.earliest);
    free.set(this.freeAtFirst);
    last.fill(NOTHING);
    let from = 0;
    for (let pass = 0; pass < MOST_PASSES; pass++) {
      let again = order.length;
      for (let k = from; k < order.length; k++) {
        const m = order[k] as number;
        for (let i = 0; i < width; i++) {
          freeBefore[k * width + i] = free[i] as number;
          lastBefore[k * width + i] = last[i] as number;
        }
        const own = before[m] as number;
        let sec = starts[m] as number;
        if (own !== NOTHING) sec = Math.max(sec, (starts[own] as number) + (least[own] as number));
        const place = station[m] === NOTHING ? NOTHING : this.placeFor(m);
        if (place !== NOTHING) sec = Math.max(sec, free[place] as number);
        placeBefore[m] = place === NOTHING ? NOTHING : (last[place] as number);
        handsBefore[m] = NOTHING;
        const length = handsOn[m] as number;
        if (length > 0) {
          const person = this.personFor(sec, length);
          sec = afterBlocked(
            flow.blocked[person] as Flow['blocked'][number],
            Math.max(sec, free[person] as number),
            length,
          );
          handsBefore[m] = last[person] as number;
          free[person] = sec + length;
          last[person] = m;
        }
        if (sec > (latest[m] as number) || sec + (toGoal[m] as number) > limit) return false;
        starts[m] = sec;
        if (place !== NOTHING || stayOf[m] !== NOTHING) this.occupy(m, place, sec + length);
        if (own !== NOTHING && sec - (most[own] as number) > (starts[own] as number)) {
          starts[own] = sec - (most[own] as number);
          // Where the step before has begun, no later start of it is left.
          if ((starts[own] as number) > (latest[own] as number)) return false;
          again = Math.min(again, position[own] as number);
        }
      }
      if (again === order.length) return true;
      from = again;
      for (let i = 0; i < width; i++) {
        free[i] = freeBefore[from * width + i] as number;
        last[i] = lastBefore[from * width + i] as number;
      }
    }
    return false;
  }

  /** The place of the moment's station that is free first, -1 when it needs none. */
  private placeFor(moment: number): number {
    const s = this.flow.station[moment] as number;
    if (s === NOTHING) return NOTHING;
    let best = this.firstPlace[s] as number;
    for (let p = best + 1; p < (this.firstPlace[s + 1] as number); p++)
      if ((this.free[p] as number) < (this.free[best] as number)) best = p;
    return best;
  }

  /** The pair of hands that can begin first; of several the one that waited least. */
  private personFor(sec: number, length: number): number {
    const { free, persons, flow } = this;
    let [best, first] = [0, Number.POSITIVE_INFINITY];
    if (persons === 1) return best;
    for (let p = 0; p < persons; p++) {
      const at = afterBlocked(flow.blocked[p] as Flow['blocked'][number], Math.max(sec, free[p] as number), length);
      if (at < first || (at === first && (free[p] as number) > (free[best] as number))) [best, first] = [p, at];
    }
    return best;
  }

  /** A place is taken until the moment that ends the stay, which is not there yet, and then until hands have left it. */
  private occupy(moment: number, place: number, until: number): void {
    const { free, last, placeOf, stayOf, flow } = this;
    const began = stayOf[moment] as number;
    if (began !== NOTHING) {
      const left = placeOf[began] as number;
      free[left] = until;
      last[left] = moment;
    }
    if (place === NOTHING) return;
    placeOf[moment] = place;
    free[place] = flow.stayEnds[moment] === moment ? until : Number.POSITIVE_INFINITY;
    last[place] = moment;
  }
}
