import { type Built, OrderBuilder } from './build.js';
import { type Flow, NOTHING, valueOf } from './flow.js';

/** By how much of the aim a worse order may be taken on at first and in the end, as parts of the value it starts from. */
const WARM = 0.004;
const COLD = 0.0002;
/** How many other moments one moment is taken past at most, beyond what it takes to come before or after its rival. */
const FURTHEST = 8;
/** Where of so many first orders fewer than this part are taken on, most are no schedule: windows are too short to change orders. */
const FIRST_TRIES = 1000;
const LEAST_TAKEN_ON = 0.1;
/** So many moments put into place make a piece of work of about a millisecond, before which leave to go on is asked. */
const MOMENTS_A_PIECE = 12_000;

/**
 * Looks for a better schedule from a given one by changing the order in which hands come to the moments: what waits for
 * hands or a place on the longest chain of the schedule goes before what it waits for, or that goes after it, and orders
 * that end later are taken on ever more rarely (simulated annealing on the critical path: van Laarhoven, Aarts and Lenstra
 * 1992, Oper Res 40:113-125). The best starts by moment in `tries` orders, or when `mayGoOn` says no; those given when none
 * is better.
 */
export function anneal(
  flow: Flow,
  given: number[],
  bound: number,
  tries: number,
  draw: (below: number) => number,
  mayGoOn: () => boolean,
): number[] {
  return new Annealing(flow, given, draw).settle(bound, tries, mayGoOn);
}

/** Two moments of different runs: the one waits for the hands or the place of the other. */
interface Wait {
  before: number;
  after: number;
}

class Annealing {
  private readonly builder: OrderBuilder;
  private readonly order: Int32Array;
  private readonly position: Int32Array;
  /** What the order makes, and what the last order tried made, as far as it came. */
  private now: Built;
  private tried: Built;
  private waits: Wait[] = [];

  constructor(
    private readonly flow: Flow,
    private readonly given: number[],
    private readonly draw: (below: number) => number,
  ) {
    const { size, begun } = flow;
    const nothing = (): Built => ({
      starts: new Float64Array(size),
      handsBefore: new Int32Array(size),
      placeBefore: new Int32Array(size),
    });
    this.builder = new OrderBuilder(flow);
    [this.now, this.tried] = [nothing(), nothing()];
    const there = new Set(begun.map(({ moment }) => moment));
    this.order = Int32Array.from(
      Array.from({ length: size - 1 }, (_, k) => k + 1)
        .filter((moment) => !there.has(moment))
        .sort((a, b) => (given[a] as number) - (given[b] as number) || a - b),
    );
    this.position = new Int32Array(size).fill(NOTHING);
    this.order.forEach((moment, k) => (this.position[moment] = k));
  }

  settle(bound: number, tries: number, mayGoOn: () => boolean): number[] {
    const { flow, given, draw } = this;
    let [best, starts] = [valueOf(flow, given), given];
    if (!this.build(Number.POSITIVE_INFINITY)) return given;
    let [value, takenOn] = [this.takeOn(), 0];
    const [warm, piece] = [WARM * value, Math.ceil(MOMENTS_A_PIECE / flow.size)];
    for (let k = 0; k < tries; k++) {
      if (value < best) [best, starts] = [value, Array.from(this.now.starts)];
      if (best <= bound || (k % piece === 0 && !mayGoOn())) break;
      if (k === FIRST_TRIES && takenOn < LEAST_TAKEN_ON * FIRST_TRIES) break;
      const move = this.move();
      if (!move) continue;
      this.shift(move.from, move.to);
      const heat = warm * (COLD / WARM) ** (k / tries);
      if (this.build(value - heat * Math.log((draw(1e6) + 1) / 1e6))) {
        value = this.takeOn();
        takenOn++;
      } else this.shift(move.to, move.from);
    }
    return value < best ? Array.from(this.now.starts) : starts;
  }

  /** Tries the order; false when it makes more than `limit` of the aim, or no schedule. */
  private build(limit: number): boolean {
    return this.builder.build(this.order, this.position, limit, this.tried);
  }

  /** Goes on from what was tried; what it makes of the aim. */
  private takeOn(): number {
    [this.now, this.tried] = [this.tried, this.now];
    this.waits = this.criticalWaits();
    return valueOf(this.flow, this.now.starts);
  }

  /** One moment of the order to another place in it. */
  private move(): { from: number; to: number } | null {
    const { flow, order, position, waits, draw } = this;
    const wait = waits[draw(Math.max(waits.length, 1))];
    if (!wait) return null;
    const further = draw(2) === 0 ? 0 : draw(FURTHEST);
    const [before, after] = [position[wait.before] as number, position[wait.after] as number];
    if (draw(2) === 0) {
      const own = flow.before[wait.after] as number;
      const first = own === NOTHING ? 0 : (position[own] as number) + 1;
      return first > before ? null : { from: after, to: Math.max(first, before - further) };
    }
    const own = flow.after[wait.before] as number;
    const last = own === NOTHING ? order.length - 1 : (position[own] as number) - 1;
    return last < after ? null : { from: before, to: Math.min(last, after + further) };
  }

  /** What waits for the hands or the place of another run on a longest chain of the schedule: two moments each. */
  private criticalWaits(): Wait[] {
    const { flow, position } = this;
    const { starts, handsBefore, placeBefore } = this.now;
    const waits: Wait[] = [];
    let m = this.lastMoment();
    for (let k = 0; k < 2 * flow.size && m !== NOTHING; k++) {
      const sec = starts[m] as number;
      const onTime = (a: number): boolean =>
        a !== NOTHING && (starts[a] as number) + (flow.handsOn[a] as number) === sec;
      const rival = [handsBefore[m] as number, placeBefore[m] as number].find(onTime);
      if (rival !== undefined && position[rival] !== NOTHING) {
        if (flow.runOf[rival] !== flow.runOf[m]) waits.push({ before: rival, after: m });
        m = rival;
        continue;
      }
      const own = flow.before[m] as number;
      const next = flow.after[m] as number;
      if (own !== NOTHING && (starts[own] as number) + (flow.least[own] as number) === sec) m = own;
      else if (next !== NOTHING && (starts[next] as number) - (flow.most[m] as number) === sec) m = next;
      else break;
    }
    return waits;
  }

  /** A moment that the aim looks at and that makes the most of it. */
  private lastMoment(): number {
    const { flow, now } = this;
    const value = valueOf(flow, now.starts);
    const last = [...flow.goal].filter(
      (m) => m !== NOTHING && (now.starts[m] as number) + (flow.toGoal[m] as number) === value,
    );
    return last[this.draw(Math.max(last.length, 1))] ?? NOTHING;
  }

  /** Moves one moment of the order; moved back, everything is as it was. */
  private shift(from: number, to: number): void {
    const { order, position } = this;
    const moment = order[from] as number;
    const by = from < to ? 1 : -1;
    for (let k = from; k !== to; k += by) {
      const other = order[k + by] as number;
      order[k] = other;
      position[other] = k;
    }
    order[to] = moment;
    position[moment] = to;
  }
}
