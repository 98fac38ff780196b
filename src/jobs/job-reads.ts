import { jobsNow, type JobNow } from '../store/questions/jobs.js';
import type { Store } from '../store/store.js';
import { Turns } from './turns.js';

interface Asked {
  id: string;
  answer: (job: JobNow | null) => void;
  fail: (error: unknown) => void;
}

/** Reads rows of jobs, those asked for during the last read together: a read for each would cost more than most jobs. */
export class JobReads {
  private asked: Asked[] = [];
  private readAhead = new Map<string, JobNow>();
  private readBefore = new Map<string, JobNow>();
  private readonly turns = new Turns(() => this.read());

  constructor(private readonly store: Store) {}

  /**
   * Takes rows that were read for another purpose: each answers once instead of a read, as long as no two portions came
   * after it. A job's row changes only by doing it, so it says what a read would.
   */
  ahead(jobs: readonly JobNow[]): void {
    this.readBefore = this.readAhead;
    this.readAhead = new Map(jobs.map((job) => [job.id, job]));
  }

  /** The row of a job as it is after the call, null when it is gone; throws when the database cannot be reached. */
  readonly now = (id: string): Promise<JobNow | null> => {
    for (const read of [this.readAhead, this.readBefore]) {
      const job = read.get(id);
      if (job && read.delete(id)) return Promise.resolve(job);
    }
    return new Promise((answer, fail) => {
      this.asked.push({ id, answer, fail });
      void this.turns.ask();
    });
  };

  private async read(): Promise<void> {
    const asked = this.asked;
    this.asked = [];
    try {
      const jobs = await jobsNow(
        this.store,
        asked.map(({ id }) => id),
      );
      for (const { id, answer } of asked) answer(jobs.get(id) ?? null);
    } catch (error) {
      for (const { fail } of asked) fail(error);
    }
  }
}
