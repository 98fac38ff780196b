import { Worker } from 'node:worker_threads';
import type { Bench } from '../core/plan/from-bench.js';
import type { PlanAnswer } from '../core/plan/plan.js';
import { problemOfBench } from '../core/plan/from-bench.js';
import { Refusal } from '../core/refusal.js';
import type { Planning } from './planning/thread.js';

/** Compiled, whoever asks: a thread runs no source. */
const THREAD = new URL('../../dist/jobs/planning/thread.js', import.meta.url);

/** What an answer may take; the best plan until then counts. */
const WORK_MS = 1800;
/** A thread that has not answered by then is at fault. */
const GIVE_UP_MS = 20_000;
/** Each takes a core. */
const MOST_AT_ONCE = 2;

let atWork = 0;

/** The planner's answer for a bench after about two seconds at most, found in a thread so that no request waits for it. */
export async function planBench(bench: Bench): Promise<PlanAnswer> {
  const problem = problemOfBench(bench);
  if (atWork >= MOST_AT_ONCE) {
    throw new Refusal(
      'too-many',
      'planner-busy',
      `${atWork} plans are being computed; ask again in a few seconds, when they are done.`,
    );
  }
  atWork += 1;
  const thread = new Worker(THREAD, { workerData: { problem, workMs: WORK_MS } satisfies Planning });
  try {
    return await new Promise<PlanAnswer>((resolve, reject) => {
      const late = setTimeout(() => reject(new Error(`planning took longer than ${GIVE_UP_MS} ms`)), GIVE_UP_MS);
      thread
        .on('message', resolve)
        .on('error', reject)
        .on('exit', () => {
          clearTimeout(late);
          reject(new Error('the thread ended before it had planned'));
        });
    });
  } finally {
    atWork -= 1;
    await thread.terminate();
  }
}
