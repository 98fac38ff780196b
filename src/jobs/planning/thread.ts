import { performance } from 'node:perf_hooks';
import { parentPort, workerData } from 'node:worker_threads';
import { plan } from '../../core/plan/plan.js';
import type { PlanProblem } from '../../core/plan/problem.js';

/** What a thread is started with. */
export interface Planning {
  problem: PlanProblem;
  workMs: number;
}

const { problem, workMs } = workerData as Planning;
const until = performance.now() + workMs;
parentPort?.postMessage(plan(problem, () => performance.now() < until));
