import type { PlanProblem, PlanRun } from './problem.js';

/** Up to this many runs that have not begun every order of them is tried. */
const ALL_ORDERS_RUNS = 5;

/** Orders in which runs are worth putting in: what has begun, then what matters most and is due first, and so on. */
export function firstOrders({ runs, earliestStartOf }: PlanProblem): number[][] {
  const rank = (r: number): number[] => {
    const { id, begunSec, priority, deadlineSec, latestStartSec, earliestSec } = runs[r] as PlanRun;
    const late = Number.POSITIVE_INFINITY;
    return [
      begunSec?.length ? 0 : 1,
      latestStartSec !== undefined && latestStartSec === earliestSec ? 0 : 1,
      id === earliestStartOf ? 0 : 1,
      priority ?? 0,
      Math.min(deadlineSec ?? late, latestStartSec ?? late),
      earliestSec ?? 0,
    ];
  };
  const length = (r: number): number => (runs[r] as PlanRun).steps.reduce((sum, { minSec }) => sum + minSec, 0);
  const order = runs.map((_, r) => r);
  const by = (last: (r: number) => number): number[] =>
    order.toSorted((a, b) => compare([...rank(a), last(a)], [...rank(b), last(b)]) || a - b);
  return [by(() => 0), by((r) => -length(r)), by(length)];
}

function compare(a: number[], b: number[]): number {
  const k = a.findIndex((value, i) => value !== b[i]);
  return k < 0 ? 0 : (a[k] as number) < (b[k] as number) ? -1 : 1;
}

/** Every order of the runs that have not begun, after those that have, when there are few. */
export function* allOrders({ runs }: PlanProblem): Generator<number[]> {
  const begun = runs.flatMap(({ begunSec }, r) => (begunSec?.length ? [r] : []));
  const rest = runs.flatMap(({ begunSec }, r) => (begunSec?.length ? [] : [r]));
  if (rest.length > ALL_ORDERS_RUNS) return;
  for (const order of ordersOf(rest)) yield [...begun, ...order];
}

function* ordersOf(list: number[]): Generator<number[]> {
  if (list.length === 0) yield [];
  for (const [k, first] of list.entries()) {
    for (const others of ordersOf(list.toSpliced(k, 1))) yield [first, ...others];
  }
}

/** An order with one run moved to another place; what has begun stays in front. */
export function otherOrder({ runs }: PlanProblem, order: number[], draw: (below: number) => number): number[] {
  const front = runs.filter(({ begunSec }) => begunSec?.length).length;
  const back = order.length - front;
  if (back < 2) return order;
  const from = front + draw(back);
  const moved = order.toSpliced(from, 1);
  return moved.toSpliced(front + draw(back), 0, order[from] as number);
}
