/** More answers than these are not kept; the oldest goes first. */
const KEPT = 2000;

/**
 * Answers that never change once they are there, such as a run's subjects or a revision's content, kept from query to
 * query. Whoever gets one does not change it.
 */
export class Memory {
  private readonly answers = new Map<string, unknown>();

  /** The kept answer of that name, else what `load` finds; nothing found is not kept. */
  async recall<T>(name: string, load: () => Promise<T>): Promise<T> {
    const kept = this.answers.get(name);
    if (kept !== undefined) return kept as T;
    const found = await load();
    if (found === null || found === undefined) return found;
    this.answers.set(name, found);
    const [oldest] = this.answers.keys();
    if (this.answers.size > KEPT && oldest !== undefined) this.answers.delete(oldest);
    return found;
  }

  /** Drops all: what was read in a transaction that was rolled back may never have been. */
  forget(): void {
    this.answers.clear();
  }
}
