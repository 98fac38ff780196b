import type { Streak } from './rules.js';

/** On a limit is not beyond it, and binary rounding must not make it so: (1.3 - 1.0) / 0.1 is above 3 in doubles. */
export const TOLERANCE = 1e-9;

/** How many in a row lay above +k and below -k, for k = 0, 1, 2 and 3 standard deviations. */
export class Streaks {
  readonly #above = [0, 0, 0, 0];
  readonly #below = [0, 0, 0, 0];

  /** Takes the lowest and highest z of the next unit: one observation, or a whole run. */
  add(lowest: number, highest: number): void {
    for (let k = 0; k < 4; k++) {
      this.#above[k] = lowest > k + TOLERANCE ? (this.#above[k] ?? 0) + 1 : 0;
      this.#below[k] = highest < -k - TOLERANCE ? (this.#below[k] ?? 0) + 1 : 0;
    }
  }

  clear(): void {
    this.#above.fill(0);
    this.#below.fill(0);
  }

  has({ count, beyond }: Streak): boolean {
    return (this.#above[beyond] ?? 0) >= count || (this.#below[beyond] ?? 0) >= count;
  }
}

/** What one level has shown since the last reset. */
export class LevelHistory {
  readonly streaks = new Streaks();
  #last = Number.NaN;
  #rising = 0;
  #falling = 0;
  /** The last three observations, latest in the lowest bit: beyond the limit or not. */
  #above2 = 0;
  #below2 = 0;

  add(z: number): void {
    this.streaks.add(z, z);
    this.#rising = z > this.#last + TOLERANCE ? this.#rising + 1 : 0;
    this.#falling = z < this.#last - TOLERANCE ? this.#falling + 1 : 0;
    this.#last = z;
    this.#above2 = ((this.#above2 << 1) | (z > 2 + TOLERANCE ? 1 : 0)) & 7;
    this.#below2 = ((this.#below2 << 1) | (z < -2 - TOLERANCE ? 1 : 0)) & 7;
  }

  /** Seven values in a row strictly rising or strictly falling, which is six steps. */
  trend(): boolean {
    return this.#rising >= 6 || this.#falling >= 6;
  }

  /** The current observation and at least one of the two before it beyond the same limit of 2 SD. */
  twoOfThree(): boolean {
    return currentAndAnother(this.#above2) || currentAndAnother(this.#below2);
  }
}

function currentAndAnother(lastThree: number): boolean {
  return (lastThree & 1) === 1 && lastThree > 1;
}
