/** More answers than these are not kept; the oldest goes first. */
const KEPT = 2000;

/**
 * Answers kept from query to query; whoever gets one does not change it. Lasting ones never change once they are there,
 * such as a run's subjects or a revision's content. Live ones, such as a run's events, are changed by acts, and hold as
 * long as this process has made every act since.
 */
export class Memory {
  private readonly lasting = new Map<string, unknown>();
  private readonly live = new Map<string, unknown>();
  /** Record number that each laboratory had reached at this process's last commit. */
  private readonly reachedSeq = new Map<string, number>();

  recall<T>(name: string, load: () => Promise<T>): Promise<T> {
    return recallIn(this.lasting, name, load);
  }

  /** Only for units: inside of one nobody else can act. */
  recallLive<T>(name: string, load: () => Promise<T>): Promise<T> {
    return recallIn(this.live, name, load);
  }

  /** A transaction begins with the record at `seq`: if another process acted since, what is live may be old. */
  continueFrom(laboratoryId: string, seq: number): void {
    if (this.reachedSeq.get(laboratoryId) !== seq) this.live.clear();
  }

  reached(laboratoryId: string, seq: number): void {
    this.reachedSeq.set(laboratoryId, seq);
  }

  /** Drops all: what was read in a transaction that was rolled back may never have been. */
  forget(): void {
    this.lasting.clear();
    this.live.clear();
  }
}

/** The kept answer of that name, else what `load` finds; nothing found is not kept. */
async function recallIn<T>(answers: Map<string, unknown>, name: string, load: () => Promise<T>): Promise<T> {
  const kept = answers.get(name);
  if (kept !== undefined) return kept as T;
  const found = await load();
  if (found === null || found === undefined) return found;
  answers.set(name, found);
  const [oldest] = answers.keys();
  if (answers.size > KEPT && oldest !== undefined) answers.delete(oldest);
  return found;
}
