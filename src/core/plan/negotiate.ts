import type { Activity } from './activity.js';
import { type Flow, latestFor, NOTHING } from './flow.js';
import type { Model } from './model.js';
import { ORIGIN } from './network.js';
import { placedAt, shareOut } from './share-out.js';

/** A resource second by second. */
interface Lane {
  /** Units that what is fixed leaves. */
  room: Float64Array;
  /** Units that the runs take as they stand. */
  used: Float64Array;
  /** What a unit too much costs; it rises where runs quarrel. */
  price: Float64Array;
  /** What a run that takes a unit from second 0 until here would pay. */
  upTo: Float64Array;
}

/** What a run takes one unit of. */
interface Use extends Activity {
  lane: Lane;
}

/** Above this many seconds times steps of one run a placement takes too long to be done thousands of times. */
const MOST_CELLS = 4e6;
/** So many placements make a piece of work of about a millisecond, before which leave to go on is asked. */
const PLACEMENTS_A_PIECE = 10;
/** By how much the price of a second rises each time two runs quarrel about it. */
const RISE = 2;

/**
 * Looks for a schedule that makes at most `limit` of the aim: each run is placed whole, where it pays least for what
 * others hold already; then runs that quarrel are taken out and placed anew, at prices that have risen where they
 * quarrelled, until nobody does (negotiated congestion: McMurchie and Ebeling 1995, Proc ACM/SIGDA FPGA 111-117). Placing
 * one run is exact: the least cost of each start of each step follows from those of the step before. Runs move as a
 * whole, so that short windows, in which schedules built step by step come to dead ends, do no harm. Starts by moment, or
 * null after `placements`, or when `mayGoOn` says no, which proves nothing.
 */
export function negotiate(
  flow: Flow,
  model: Model,
  limit: number,
  placements: number,
  draw: (below: number) => number,
  mayGoOn: () => boolean,
): number[] | null {
  const seconds = secondsNeeded(flow, limit);
  const mostSteps = flow.runs.reduce((most, { length }) => Math.max(most, length), 0);
  if (seconds * mostSteps > MOST_CELLS) return null;
  const talk = new Negotiation(flow, model, limit, seconds, mostSteps, draw);
  const starts = talk.settle(placements, mayGoOn);
  return starts && hasHands(model, starts) ? starts : null;
}

/** How many placements `cells` seconds of rows are enough for. */
export function placementsFor(flow: Flow, limit: number, cells: number): number {
  const cellsOf = (moments: number[]): number =>
    moments.reduce((sum, moment) => {
      const [from, to] = [flow.earliest[moment] as number, latestFor(flow, moment, limit)];
      return sum + Math.max(to - from, 0) + 1;
    }, 0);
  return Math.floor(cells / flow.runs.reduce((most, moments) => Math.max(most, cellsOf(moments)), 1));
}

/** How long the axis has to be: runs that the aim does not look at may end after its limit. */
function secondsNeeded({ runs, goal, latest, handsOn }: Flow, limit: number): number {
  const ends = runs.map((moments, r) => {
    const last = moments.at(-1) as number;
    return goal[r] === last ? limit : (latest[last] as number) + (handsOn[last] as number);
  });
  return ends.reduce((a, b) => Math.max(a, b), limit) + 1;
}

/** Enough hands at every second may still leave a moment that nobody can do from start to end. */
function hasHands({ resources }: Model, starts: number[]): boolean {
  return resources.every(({ away, held, work, capacity }) => {
    if (away.length === 0) return true;
    const placed = placedAt([...held, ...work], (moment) => starts[moment] as number);
    return shareOut(placed, { capacity, away }).units !== null;
  });
}

class Negotiation {
  private readonly lanes: Lane[];
  /** By run, and by the moments that begin and end them. */
  private readonly uses: Use[][];
  private readonly begins: Use[][];
  private readonly ends: Use[][];
  /** By run: its moments that have not begun. */
  private readonly free: number[][];
  private readonly starts: Float64Array;
  /** Of the run that is being placed, a row of seconds for each step: what the run costs up to a start there. */
  private readonly cost: Float64Array;
  /** By step of that run: the second at which its row begins and how many it has. */
  private readonly rowFrom: Float64Array;
  private readonly rowLength: Int32Array;
  private readonly queue: Int32Array;
  private readonly queued: Float64Array;

  constructor(
    private readonly flow: Flow,
    model: Model,
    private readonly limit: number,
    private readonly seconds: number,
    mostSteps: number,
    private readonly draw: (below: number) => number,
  ) {
    this.starts = new Float64Array(flow.size).fill(NOTHING);
    this.starts[ORIGIN] = 0;
    for (const { moment, sec } of flow.begun) this.starts[moment] = sec;
    this.free = flow.runs.map((moments) => moments.filter((m) => this.starts[m] === NOTHING));
    this.uses = flow.runs.map(() => []);
    this.begins = Array.from({ length: flow.size }, () => []);
    this.ends = Array.from({ length: flow.size }, () => []);
    this.lanes = model.resources.map(({ capacity, taken, work }) => {
      const room = new Float64Array(seconds).fill(capacity);
      for (const { startLag, endLag, units } of taken)
        for (let t = Math.max(startLag, 0); t < Math.min(endLag, seconds); t++) room[t] = (room[t] as number) - units;
      const lane = {
        room,
        used: new Float64Array(seconds),
        price: new Float64Array(seconds).fill(1),
        upTo: new Float64Array(seconds + 1),
      };
      for (const activity of work) {
        const use = { ...activity, lane };
        this.uses[flow.runOf[use.end] as number]?.push(use);
        this.begins[use.start]?.push(use);
        this.ends[use.end]?.push(use);
      }
      return lane;
    });
    this.cost = new Float64Array(mostSteps * seconds);
    this.rowFrom = new Float64Array(mostSteps);
    this.rowLength = new Int32Array(mostSteps);
    this.queue = new Int32Array(seconds);
    this.queued = new Float64Array(seconds);
  }

  settle(placements: number, mayGoOn: () => boolean): number[] | null {
    const { flow, draw, free } = this;
    const runs = flow.runs.map((_, r) => r).filter((r) => (free[r] as number[]).length > 0);
    for (const r of shuffled(runs, draw)) {
      if (!this.place(r)) return null;
      this.hold(r, 1);
    }
    let last = NOTHING;
    for (let k = 0; k < placements; k++) {
      if (k % PLACEMENTS_A_PIECE === 0 && !mayGoOn()) return null;
      const quarrelling = runs.filter((r) => this.quarrels(r));
      if (quarrelling.length === 0) return [...this.starts];
      const others = quarrelling.filter((r) => r !== last);
      const r = (others[draw(others.length)] ?? quarrelling[0]) as number;
      last = r;
      this.raisePrices(r);
      this.hold(r, -1);
      if (!this.place(r)) return null;
      this.hold(r, 1);
    }
    return null;
  }

  private secondsOf(r: number, each: (lane: Lane, second: number) => void): void {
    const { starts } = this;
    for (const { lane, start, startLag, end, endLag } of this.uses[r] as Use[]) {
      const until = (starts[end] as number) + endLag;
      for (let t = (starts[start] as number) + startLag; t < until; t++) each(lane, t);
    }
  }

  private hold(r: number, units: number): void {
    this.secondsOf(r, ({ used }, t) => (used[t] = (used[t] as number) + units));
  }

  private quarrels(r: number): boolean {
    let found = false;
    this.secondsOf(r, ({ used, room }, t) => (found ||= (used[t] as number) > (room[t] as number)));
    return found;
  }

  private raisePrices(r: number): void {
    this.secondsOf(r, ({ used, room, price }, t) => {
      if ((used[t] as number) > (room[t] as number)) price[t] = (price[t] as number) + RISE;
    });
  }

  /** Gives a run that holds nothing the starts that cost least, one of them when there are several; false when its windows leave none. */
  private place(r: number): boolean {
    const { starts } = this;
    const { least, most } = this.flow;
    const moments = this.free[r] as number[];
    this.lanes.forEach(sumUp);
    for (let k = 0; k < moments.length; k++) {
      if (!this.openRow(r, k)) return false;
      this.addUses(moments[k] as number, k);
    }
    let k = moments.length - 1;
    let at = this.cheapest(k, 0, Number.POSITIVE_INFINITY);
    if (at === NOTHING) return false;
    starts[moments[k] as number] = at;
    while (k-- > 0) {
      const moment = moments[k] as number;
      at = this.cheapest(k, at - (most[moment] as number), at - (least[moment] as number));
      starts[moment] = at;
    }
    return true;
  }

  /** Begins the row of a step with what its start costs by the steps before; false when it has no second. */
  private openRow(r: number, k: number): boolean {
    const { flow, starts, rowFrom, rowLength, cost } = this;
    const { before, least, most } = flow;
    const moment = (this.free[r] as number[])[k] as number;
    const previous = before[moment] as number;
    let [from, to] = [flow.earliest[moment] as number, latestFor(flow, moment, this.limit)];
    if (k === 0 && previous !== NOTHING) {
      from = Math.max(from, (starts[previous] as number) + (least[previous] as number));
      to = Math.min(to, (starts[previous] as number) + (most[previous] as number));
    }
    if (from > to) return false;
    rowFrom[k] = from;
    rowLength[k] = to - from + 1;
    if (k === 0) cost.fill(0, 0, to - from + 1);
    else this.carryOn(k, least[previous] as number, most[previous] as number);
    return true;
  }

  /** The least of the row before within the window of each second: a queue of what may still be least, cheapest first. */
  private carryOn(k: number, least: number, most: number): void {
    const { cost, queue, queued, seconds, rowLength, rowFrom } = this;
    const row = k * seconds;
    const [before, length, end] = [row - seconds, rowLength[k - 1] as number, rowLength[k] as number];
    const shift = (rowFrom[k] as number) - (rowFrom[k - 1] as number);
    let [head, tail, next, last, first] = [0, 0, 0, shift - least, shift - most];
    for (let i = 0; i < end; i++, last++, first++) {
      for (; next <= last && next < length; next++) {
        const value = cost[before + next] as number;
        while (tail > head && (queued[tail - 1] as number) > value) tail--;
        queued[tail] = value;
        queue[tail++] = next;
      }
      while (head < tail && (queue[head] as number) < first) head++;
      cost[row + i] = head < tail ? (queued[head] as number) : Number.POSITIVE_INFINITY;
    }
  }

  /** A use costs what its end has summed up less what its start has: each step pays its own side. */
  private addUses(moment: number, k: number): void {
    const { cost, seconds, rowLength, rowFrom } = this;
    const row = k * seconds;
    const end = row + (rowLength[k] as number);
    for (const { lane, endLag } of this.ends[moment] as Use[]) {
      const { upTo } = lane;
      for (let i = row, t = (rowFrom[k] as number) + endLag; i < end; i++, t++)
        cost[i] = (cost[i] as number) + (upTo[t] as number);
    }
    for (const { lane, startLag } of this.begins[moment] as Use[]) {
      const { upTo } = lane;
      for (let i = row, t = (rowFrom[k] as number) + startLag; i < end; i++, t++)
        cost[i] = (cost[i] as number) - (upTo[t] as number);
    }
  }

  /** The cheapest second of a row within a window, -1 for none; of several any, so that the next try differs from the last. */
  private cheapest(k: number, first: number, last: number): number {
    const { cost, draw, seconds, rowFrom, rowLength } = this;
    const [row, from] = [k * seconds, rowFrom[k] as number];
    const end = Math.min(last - from, (rowLength[k] as number) - 1);
    let [best, least, ties] = [NOTHING, Number.POSITIVE_INFINITY, 0];
    for (let i = Math.max(first - from, 0); i <= end; i++) {
      const value = cost[row + i] as number;
      if (value < least) [best, least, ties] = [from + i, value, 1];
      else if (value === least && best !== NOTHING && draw(++ties) === 0) best = from + i;
    }
    return best;
  }
}

function sumUp({ room, used, price, upTo }: Lane): void {
  let sum = 0;
  for (let t = 0; t < room.length; t++) {
    upTo[t] = sum;
    const over = (used[t] as number) + 1 - (room[t] as number);
    if (over > 0) sum += over * (price[t] as number);
  }
  upTo[room.length] = sum;
}

function shuffled(list: number[], draw: (below: number) => number): number[] {
  const out = list.slice();
  for (let i = out.length - 1; i > 0; i--) {
    const j = draw(i + 1);
    [out[i], out[j]] = [out[j] as number, out[i] as number];
  }
  return out;
}
