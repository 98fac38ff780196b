/** A rising function of x: how far it stands above the value looked for, and how steep it is there. */
export type Rising = (x: number) => { excess: number; slope: number };

/**
 * Where a rising function passes 0 between `low` and `high`, to the last digits, from `start` on: Newton's steps, and half
 * of the bracket where a step would leave it or hardly moves on (safeguarded Newton; Dahlquist and Bjorck, Numerical
 * Methods, 1974). Without a passage, the end that is nearest to one.
 * `risingRoot((x) => ({excess: x * x - 2, slope: 2 * x}), 0, 2, 1)` is the square root of 2.
 */
export function risingRoot(at: Rising, low: number, high: number, start: number): number {
  let x = start;
  let lastStep = high - low;
  // A double has fewer than 1100 halvings in it.
  for (let round = 0; round < 1200; round++) {
    const { excess, slope } = at(x);
    if (excess === 0) return x;
    if (excess > 0) high = x;
    else low = x;
    const newton = Math.min(Math.max(x - excess / slope, low), high);
    const step = Math.abs(newton - x);
    // From so near one step arrives; more would follow the rounding of the function.
    if (lastStep <= 1e-9 * Math.abs(x) && step <= lastStep) return newton;
    const useful = newton > low && newton < high && step < lastStep / 2;
    const next = useful ? newton : (low + high) / 2;
    lastStep = Math.abs(next - x);
    if (lastStep <= Number.EPSILON * Math.abs(x)) return next;
    x = next;
  }
  return x;
}
