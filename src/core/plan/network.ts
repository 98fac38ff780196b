/** No path: nothing is asked between two moments. */
const NONE = Number.NEGATIVE_INFINITY;

/** Moment 0 of a network: second 0 of the problem's axis. */
export const ORIGIN = 0;

/** "`to` at least `weight` seconds after `from`". */
export interface Demand {
  from: number;
  to: number;
  weight: number;
}

/**
 * A simple temporal network (Dechter, Meiri, Pearl, Artif Intell 1991;49:61-95): moments 0..size-1 and demands "v at
 * least w after u", kept closed as the longest paths between all pairs, so that an order of two moments can be judged
 * at a glance. Paths through the origin are kept apart, as the earliest and the latest second of each moment, because
 * nearly every pair has one and each change would touch them all. Changes can be taken back to a mark.
 */
export class Network {
  private readonly longest: Float64Array;
  /** What was changed, in order, and what stood there before. */
  private trailAt = new Int32Array(1 << 12);
  private trailWas = new Float64Array(1 << 12);
  private changes = 0;
  private readonly reached: Int32Array;
  /** Where the earliest seconds begin in `longest`, and after them the latest ones, negated: both only grow. */
  private readonly early: number;
  private readonly late: number;

  constructor(readonly size: number) {
    this.reached = new Int32Array(size);
    this.early = size * size;
    this.late = this.early + size;
    this.longest = new Float64Array(this.late + size).fill(NONE);
  }

  /**
   * Starts afresh from all of the demands at once; false when they contradict each other. `order` names the moments but
   * the origin in about the order of their times, which decides only how fast it goes.
   */
  fill(demands: Demand[], order: number[]): boolean {
    const { size, longest, early, late } = this;
    longest.fill(NONE);
    this.changes = 0;
    const [onward, back]: [Demand[][], Demand[][]] = [[], []];
    for (const demand of demands) {
      if (demand.from !== ORIGIN && demand.to !== ORIGIN) {
        (onward[demand.from] ??= []).push(demand);
        (back[demand.to] ??= []).push(demand);
      }
    }
    longest[early + ORIGIN] = 0;
    longest[late + ORIGIN] = 0;
    longest[ORIGIN] = 0;
    for (const { from, to, weight } of demands) {
      if (from === ORIGIN) longest[early + to] = Math.max(longest[early + to] as number, weight);
      if (to === ORIGIN) longest[late + from] = Math.max(longest[late + from] as number, weight);
    }
    const orders: [number[], number[]] = [order, order.toReversed()];
    const backwards = back.map((list) => list.map(({ from, to, weight }) => ({ from: to, to: from, weight })));
    if (!this.relax(early, orders, onward, NONE) || !this.relax(late, orders, backwards, NONE)) return false;
    for (const moment of order) {
      longest[moment * size + moment] = 0;
      if (this.earliest(moment) > this.latest(moment)) return false;
      if (!this.relax(moment * size, orders, onward, longest[late + moment] as number)) return false;
    }
    return true;
  }

  /**
   * Bellman and Ford: longest paths of one row, there and back by turns, but for those that are no longer than the path
   * through the origin, which begins with `toOrigin`; false when they never end.
   */
  private relax(
    row: number,
    orders: [number[], number[]],
    onward: (Demand[] | undefined)[],
    toOrigin: number,
  ): boolean {
    const { longest, size, early } = this;
    for (let pass = 0; pass <= 2 * size; pass++) {
      let changed = false;
      for (const u of orders[pass % 2 === 0 ? 0 : 1]) {
        const there = longest[row + u] as number;
        if (there === NONE) continue;
        for (const { to, weight } of onward[u] ?? []) {
          const path = there + weight;
          if (path > (longest[row + to] as number) && path > toOrigin + (longest[early + to] as number)) {
            longest[row + to] = path;
            changed = true;
          }
        }
      }
      if (!changed) return true;
    }
    return false;
  }

  earliest(moment: number): number {
    return this.longest[this.early + moment] as number;
  }

  latest(moment: number): number {
    return -(this.longest[this.late + moment] as number);
  }

  /** What all demands together ask between two moments: v at least this long after u. */
  least(u: number, v: number): number {
    const { size, longest } = this;
    const direct = longest[u * size + v] as number;
    const byOrigin = (longest[this.late + u] as number) + (longest[this.early + v] as number);
    return direct > byOrigin ? direct : byOrigin;
  }

  /** Asks that v is at least `weight` after u; false when that contradicts what is asked already. */
  ask(u: number, v: number, weight: number): boolean {
    if (this.least(u, v) >= weight) return true;
    if (this.least(v, u) + weight > 0) return false;
    const { size, longest, early, late, reached } = this;
    const earliest = (longest[early + u] as number) + weight;
    const latest = (longest[late + v] as number) + weight;
    let count = 0;
    for (let j = 0; j < size; j++) {
      const onward = longest[v * size + j] as number;
      if (onward !== NONE) {
        reached[count++] = j;
        this.raise(early + j, earliest + onward);
      }
      this.raise(late + j, latest + (longest[j * size + u] as number));
    }
    if (u === ORIGIN || v === ORIGIN) return true;
    for (let i = 0; i < size; i++) {
      const row = i * size;
      const reach = (longest[row + u] as number) + weight;
      if (reach <= (longest[row + v] as number)) continue;
      const toOrigin = longest[late + i] as number;
      for (let k = 0; k < count; k++) {
        const j = reached[k] as number;
        const path = reach + (longest[v * size + j] as number);
        if (path > toOrigin + (longest[early + j] as number)) this.raise(row + j, path);
      }
    }
    return true;
  }

  private raise(at: number, to: number): void {
    const was = this.longest[at] as number;
    if (to <= was) return;
    if (this.changes === this.trailAt.length) this.lengthenTrail();
    this.trailAt[this.changes] = at;
    this.trailWas[this.changes] = was;
    this.changes++;
    this.longest[at] = to;
  }

  private lengthenTrail(): void {
    const [at, was] = [this.trailAt, this.trailWas];
    this.trailAt = new Int32Array(2 * at.length);
    this.trailWas = new Float64Array(2 * was.length);
    this.trailAt.set(at);
    this.trailWas.set(was);
  }

  mark(): number {
    return this.changes;
  }

  backTo(mark: number): void {
    const { longest, trailAt, trailWas } = this;
    for (let k = this.changes - 1; k >= mark; k--) longest[trailAt[k] as number] = trailWas[k] as number;
    this.changes = mark;
  }
}
