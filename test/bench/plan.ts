import 'reflect-metadata';
import { checkPlan } from '../../src/core/plan/check.js';
import { problemOfBench } from '../../src/core/plan/from-bench.js';
import { plan } from '../../src/core/plan/plan.js';
import type { PlanProblem } from '../../src/core/plan/problem.js';
import type { Protocol } from '../../src/core/protocol/protocol.js';
import { plusMs } from '../../src/core/time/instant.js';
import { readFolder } from '../../src/modules/protocols/read-file.js';
import { type Racks, racks } from '../core/plan/benches.js';
import { START } from '../support/bedside.js';

const RUNS = 12;
const STEPS = 15;
const WORK_SEC = 2;
const DAY_MS = 86_400_000;
const SEEDS = [1, 2, 3, 4, 5, 6];

const BENCHES: (Omit<Racks, 'runs' | 'steps'> & { name: string })[] = [
  { name: 'twelve different runs', handsOnSec: [5, 12], slack: [0.2, 1], kinds: 12 },
  { name: 'three kinds of runs', handsOnSec: [5, 12], slack: [0.1, 0.5], kinds: 3 },
  { name: 'twelve runs alike', handsOnSec: [5, 12], slack: [0.1, 0.5], kinds: 1 },
  { name: 'different, hands always busy', handsOnSec: [8, 20], slack: [0.2, 1], kinds: 12 },
  { name: 'different, windows of 2 to 10 %', handsOnSec: [5, 12], slack: [0.02, 0.1], kinds: 12 },
  { name: 'alike, windows of 2 to 10 %', handsOnSec: [5, 12], slack: [0.02, 0.1], kinds: 1 },
];

/** What was found in two seconds of work, and how long it took when it was proven before. */
interface Planned {
  /** How far the plan is from the bound that was proven with it, at most, as a part of the bound. */
  over: number;
  /** The plan as a part of what the bench would do without one: one run after the other. */
  ofAlone: number;
  spent: number;
}

async function main(): Promise<void> {
  console.log(`${RUNS} runs, one pair of hands, ${WORK_SEC} s of work each (aim: within 5 % of the bound)`);
  console.log(`invented runs of ${STEPS} steps, ${SEEDS.length} benches each:`);
  for (const { name, ...bench } of BENCHES) {
    const found = SEEDS.map((seed) => planned(`${name}, ${seed}`, racks({ runs: RUNS, steps: STEPS, ...bench }, seed)));
    say(name, found);
  }
  console.log('racks alike of each shipped protocol, from the furthest:');
  const read = await readFolder('protocols');
  if ('problems' in read) throw new Error(`${read.problems.length} problems in the shipped protocols`);
  const found = read.protocols.map((protocol) => ({ id: protocol.id, ...planned(protocol.id, rackful(protocol)) }));
  found.sort((a, b) => b.over - a.over);
  for (const { id, ...each } of found) say(id, [each]);
}

function planned(name: string, problem: PlanProblem): Planned {
  const begun = process.cpuUsage();
  const answer = plan(problem, () => spentSec(begun) < WORK_SEC);
  if (answer.answer !== 'plan' || checkPlan(problem, answer.schedule).length > 0)
    throw new Error(`${name}: ${answer.answer}, or a plan that the checker refuses`);
  const { makespanSec, boundSec } = answer;
  return {
    over: makespanSec / boundSec - 1,
    ofAlone: makespanSec / oneAfterAnother(problem),
    spent: spentSec(begun),
  };
}

function rackful(protocol: Protocol): PlanProblem {
  const wanted = Array.from({ length: RUNS }, (_, k) => ({ id: `rack ${k + 1}`, protocol }));
  const hands = [{ name: 'one pair', from: START, to: plusMs(START, DAY_MS) }];
  return problemOfBench({ at: START, wanted, going: [], hands, places: [] });
}

function say(name: string, found: Planned[]): void {
  const percent = (value: number): string => `${(100 * value).toFixed(1)} %`.padStart(7);
  const columns = [
    `over the bound ${found.map(({ over }) => percent(over)).join(' ')}`,
    `of one after the other ${found.map(({ ofAlone }) => percent(ofAlone)).join(' ')}`,
    found.map(({ spent }) => `${spent.toFixed(1)} s`).join(' '),
  ];
  console.log(`  ${name.padEnd(34)}${columns.join('   ')}`);
}

function oneAfterAnother({ runs }: PlanProblem): number {
  return runs.reduce(
    (sum, { steps }) =>
      sum + steps.reduce((all, { minSec, handsOnSec }, k) => all + (k < steps.length - 1 ? minSec : handsOnSec), 0),
    0,
  );
}

function spentSec(begun: NodeJS.CpuUsage): number {
  const { user, system } = process.cpuUsage(begun);
  return (user + system) / 1e6;
}

await main();
