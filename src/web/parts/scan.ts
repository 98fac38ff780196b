/** Tells a scanner's keys from a person's by their speed alone. */
export interface ScanSpeed {
  /** Keys further apart than this, in ms, were typed by a person. */
  gapMs: number;
  /** Fewer keys than this, however fast, are no scan: two fingers can land together. */
  leastKeys: number;
}

/** Wedge scanners send a key every 1 to 20 ms; a fast typist one every 60 to 100 ms (common practice, no source). */
export const SCAN_SPEED: ScanSpeed = { gapMs: 40, leastKeys: 5 };

/** What keys turned out to be: the text of a scan, or keys that a person pressed. */
export type Keyed = { kind: 'scan'; text: string } | { kind: 'keys'; keys: string[] };

const ENDS = ['Enter', 'Tab'];

/**
 * Sorts keys into scans and typing. Feed it each key with its time; ask it to settle once no key came for `gapMs`.
 * A scan is at least `leastKeys` characters without a pause, ended by Enter or Tab or by the pause after it.
 */
export class ScanReader {
  #keys: string[] = [];
  #last = Number.NEGATIVE_INFINITY;

  constructor(readonly speed: ScanSpeed = SCAN_SPEED) {}

  /** Whether the keys so far came as fast as a scanner's and are enough for a scan. */
  get scanning(): boolean {
    return this.#keys.filter((key) => !ENDS.includes(key)).length >= this.speed.leastKeys;
  }

  /** Whether keys wait to be told a scan or typing. */
  get waiting(): boolean {
    return this.#keys.length > 0;
  }

  /** Takes a key pressed at `at` ms; answers what is decided by it, which may be nothing yet. */
  key(key: string, at: number): Keyed[] {
    const decided = at - this.#last > this.speed.gapMs ? this.settle() : [];
    this.#last = at;
    if (ENDS.includes(key) && this.scanning) return [...decided, ...this.settle()];
    this.#keys.push(key);
    return decided;
  }

  /** Decides what is still open, because no further key came in time. */
  settle(): Keyed[] {
    const keys = this.#keys;
    if (keys.length === 0) return [];
    const scan = this.scanning;
    this.#keys = [];
    return [scan ? { kind: 'scan', text: keys.filter((key) => !ENDS.includes(key)).join('') } : { kind: 'keys', keys }];
  }
}

/** ASCII 29, which separates GS1 elements; wedge scanners send it as Ctrl and ]. */
export const GROUP_SEPARATOR = '\u001d';

/** The character or named key that a key event stands for; null for keys that mean nothing alone. */
export function keyOf(event: { key: string; ctrlKey: boolean; altKey: boolean; metaKey: boolean }): string | null {
  if (event.ctrlKey && event.key === ']') return GROUP_SEPARATOR;
  if (event.ctrlKey || event.altKey || event.metaKey) return null;
  if ([...event.key].length === 1) return event.key;
  return ['Shift', 'CapsLock', 'Escape', 'Dead', 'Unidentified', 'Process'].includes(event.key) ? null : event.key;
}
