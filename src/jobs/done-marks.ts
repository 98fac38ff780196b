import { markDone } from '../store/acts/mark-jobs.js';
import type { Store } from '../store/store.js';
import { Turns } from './turns.js';

const AT_A_TIME = 2_000;
const AGAIN_MS = 1_000;

/**
 * Notes jobs as done, those that ended while the last note was being committed in one statement: a commit for each would
 * cost more than most jobs. What is not noted when the process dies is done once more.
 */
export class DoneMarks {
  private readonly waiting = new Map<string, Set<string>>();
  private readonly turns = new Turns(() => this.write());
  private timer: NodeJS.Timeout | undefined;

  constructor(
    private readonly store: Store,
    private readonly failed: (error: Error) => void,
  ) {}

  /** Settles at once: what is done needs nobody to wait for its note. */
  readonly add = (laboratoryId: string, id: string): Promise<void> => {
    const ids = this.waiting.get(laboratoryId) ?? new Set();
    this.waiting.set(laboratoryId, ids.add(id));
    void this.turns.ask();
    return Promise.resolve();
  };

  /** Whether a job was done here and is not noted yet: its row, handed over again, must not have it done twice. */
  has(laboratoryId: string, id: string): boolean {
    return this.waiting.get(laboratoryId)?.has(id) ?? false;
  }

  /** Settles when all that was added is noted, or could not be. */
  async flush(): Promise<void> {
    clearTimeout(this.timer);
    await this.turns.ask();
  }

  private async write(): Promise<void> {
    for (const [laboratoryId, ids] of this.waiting) {
      while (ids.size > 0) {
        const part = [...ids].slice(0, AT_A_TIME);
        try {
          await this.store.housekeep(laboratoryId, (unit) => markDone(unit, part));
        } catch (error) {
          this.failed(error as Error);
          clearTimeout(this.timer);
          this.timer = setTimeout(() => void this.turns.ask(), AGAIN_MS).unref();
          return;
        }
        for (const id of part) ids.delete(id);
      }
    }
  }
}
