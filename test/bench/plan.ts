import { checkPlan } from '../../src/core/plan/check.js';
import { plan } from '../../src/core/plan/plan.js';
import type { PlanProblem } from '../../src/core/plan/problem.js';
import { type Racks, racks } from '../core/plan/benches.js';

const RUNS = 12;
const STEPS = 15;
const WORK_SEC = 2;
const SEEDS = [1, 2, 3, 4, 5, 6];

const BENCHES: (Omit<Racks, 'runs' | 'steps'> & { name: string })[] = [
  { name: 'twelve different runs', handsOnSec: [5, 12], slack: [0.2, 1], kinds: 12 },
  { name: 'three kinds of runs', handsOnSec: [5, 12], slack: [0.1, 0.5], kinds: 3 },
  { name: 'twelve runs alike', handsOnSec: [5, 12], slack: [0.1, 0.5], kinds: 1 },
  { name: 'different, hands always busy', handsOnSec: [8, 20], slack: [0.2, 1], kinds: 12 },
  { name: 'different, windows of 2 to 10 %', handsOnSec: [5, 12], slack: [0.02, 0.1], kinds: 12 },
  { name: 'alike, windows of 2 to 10 %', handsOnSec: [5, 12], slack: [0.02, 0.1], kinds: 1 },
];

/**
 * Twelve runs of fifteen steps for one pair of hands, planned in two seconds of work: how far each plan is from the bound
 * that was proven with it, at most. The baseline is what the bench would do without a plan: one run after the other.
 */
function main(): void {
  console.log(
    `${RUNS} runs of ${STEPS} steps, one pair of hands, ${WORK_SEC} s of work each (aim: within 5 % of the bound)`,
  );
  for (const { name, ...bench } of BENCHES) {
    const found = SEEDS.map((seed) => {
      const problem = racks({ runs: RUNS, steps: STEPS, ...bench }, seed);
      const begun = process.cpuUsage();
      const answer = plan(problem, () => spentSec(begun) < WORK_SEC);
      if (answer.answer !== 'plan' || checkPlan(problem, answer.schedule).length > 0)
        throw new Error(`${name}, ${seed}: ${answer.answer}, or a plan that the checker refuses`);
      const { makespanSec, boundSec } = answer;
      return {
        over: makespanSec / boundSec - 1,
        ofAlone: makespanSec / oneAfterAnother(problem),
        spent: spentSec(begun),
      };
    });
    const percent = (value: number): string => `${(100 * value).toFixed(1)} %`;
    console.log(
      `  ${name.padEnd(34)}over the bound ${found.map(({ over }) => percent(over).padStart(7)).join(' ')}   of one after the other ${found.map(({ ofAlone }) => percent(ofAlone)).join(' ')}   ${found.map(({ spent }) => `${spent.toFixed(1)} s`).join(' ')}`,
    );
  }
}

function oneAfterAnother({ runs }: PlanProblem): number {
  return runs.reduce(
    (sum, { steps }) =>
      sum + steps.reduce((all, { minSec, handsOnSec }, k) => all + (k < STEPS - 1 ? minSec : handsOnSec), 0),
    0,
  );
}

function spentSec(begun: NodeJS.CpuUsage): number {
  const { user, system } = process.cpuUsage(begun);
  return (user + system) / 1e6;
}

main();
