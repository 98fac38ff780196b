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
  private readonly turns = new Turns(() => this.read());

  constructor(private readonly store: Store) {}

  /** The row of a job as it is after the call, null when it is gone; throws when the database cannot be reached. */
  readonly now = (id: string): Promise<JobNow | null> =>
    new Promise((answer, fail) => {
      this.asked.push({ id, answer, fail });
      void this.turns.ask();
    });

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
