/** More answers than these are not kept; the oldest goes first. */
const KEPT = 2000;

/** The rows of a table, named by their class. */
export type Table = abstract new () => object;

interface Live {
  answer: unknown;
  /** A row written to one of these makes the answer old. */
  of: readonly Table[];
}

/**
 * Answers kept from query to query; whoever gets one does not change it. Lasting ones never change once they are there,
 * such as a run's subjects or a revision's content. Live ones are changed by acts, and hold until this process writes to
 * a table that they are of, or another process acts.
 */
export class Memory {
  private readonly lasting = new Map<string, unknown>();
  private readonly live = new Map<string, Live>();
  /** Record number that each laboratory had reached at this process's last commit. */
  private readonly reachedSeq = new Map<string, number>();

  /** The kept answer of that name, else what `load` finds; nothing found is not kept. */
  async recall<T>(name: string, load: () => Promise<T>): Promise<T> {
    const kept = this.lasting.get(name);
    if (kept !== undefined) return kept as T;
    const found = await load();
    if (found !== null && found !== undefined) keep(this.lasting, name, found);
    return found;
  }

  /** Only for units: inside of one nobody else can act. */
  async recallLive<T>(name: string, of: readonly Table[], load: () => Promise<T>): Promise<T> {
    const kept = this.live.get(name);
    if (kept) return kept.answer as T;
    const answer = await load();
    keep(this.live, name, { answer, of });
    return answer;
  }

  /** A unit wrote to a table. */
  wrote(table: Table): void {
    for (const [name, { of }] of this.live) if (of.includes(table)) this.live.delete(name);
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

function keep<T>(answers: Map<string, T>, name: string, answer: T): void {
  answers.set(name, answer);
  const [oldest] = answers.keys();
  if (answers.size > KEPT && oldest !== undefined) answers.delete(oldest);
}
