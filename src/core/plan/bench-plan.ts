import type { Protocol } from '../protocol/protocol.js';
import { epochMs, type Instant, instantOf } from '../time/instant.js';
import { checkPlan, type PlanViolation } from './check.js';
import { type Bench, originOf, problemOfBench } from './from-bench.js';
import { type PlanAnswer, withoutOverdue } from './plan.js';
import type { Obstacle, Schedule } from './problem.js';

/** A step of a planned run, or, with `step` null, the end of its last step. */
export interface PlannedMoment {
  step: string | null;
  action: string;
  startsAt: Instant;
  /** How long hands are busy from then on, in seconds. */
  handsOnSec: number;
  /** Whose hands; null where none are needed or nobody noted them. */
  hands: string | null;
  /** It had begun when the plan was made. */
  begun: boolean;
}

/** A run as planned: its moments in order, the last of them its end. */
export interface BenchRun {
  id: string;
  title: string;
  /** It was on the bench when the plan was made. */
  going: boolean;
  startsAt: Instant;
  endsAt: Instant;
  moments: PlannedMoment[];
}

/** What the planner says of a bench. */
export type BenchAnswer =
  | { answer: 'plan'; runs: BenchRun[]; endsAt: Instant; boundAt: Instant; optimal: boolean; says: string }
  | { answer: 'none' | 'not found'; says: string };

/** The end of a run's last step, as a moment. */
const LAST = 'Take out of the last step';

/** The planner's answer in the bench's own words: instants for seconds, sentences for bounds and obstacles. */
export function answerForBench(bench: Bench, found: PlanAnswer): BenchAnswer {
  switch (found.answer) {
    case 'none':
      return { answer: 'none', says: whyNone(bench, found.obstacles, found.minimal) };
    case 'not found':
      return {
        answer: 'not found',
        says: 'No plan was found in about two seconds, which does not prove that there is none. Plan fewer runs at a time, move a deadline, or add a pair of hands.',
      };
    case 'plan': {
      const origin = originOf(bench);
      const { makespanSec, boundSec, optimal } = found;
      const apart = makespanSec - boundSec;
      return {
        answer: 'plan',
        runs: runsOf(bench, found.schedule),
        endsAt: at(origin, makespanSec),
        boundAt: at(origin, boundSec),
        optimal,
        says: optimal
          ? 'Proven: no plan ends earlier under these limits.'
          : apart > 0
            ? `No plan can end more than ${spoken(apart)} earlier than this one; whether one does is not proven.`
            : 'No plan ends earlier; whether a run of lower priority could end earlier is not proven.',
      };
    }
  }
}

/** A schedule as the runs of its bench, in the order of their starts. */
export function runsOf(bench: Bench, schedule: Schedule): BenchRun[] {
  const origin = originOf(bench);
  const { runs } = problemOfBench(bench);
  return runs
    .map(({ id, steps, begunSec }): BenchRun => {
      const { startsSec = [], hands = [] } = schedule.find(({ run }) => run === id) ?? {};
      const { title, steps: own } = protocolOf(bench, id);
      const moments = steps.map(({ handsOnSec }, k): PlannedMoment => ({
        step: own[k]?.id ?? null,
        action: own[k]?.action ?? LAST,
        startsAt: at(origin, startsSec[k] ?? 0),
        handsOnSec,
        hands: hands[k] ?? null,
        begun: k < (begunSec?.length ?? 0),
      }));
      const endSec = (startsSec.at(-1) ?? 0) + (steps.at(-1)?.handsOnSec ?? 0);
      const going = bench.going.some((run) => run.id === id);
      return { id, title, going, startsAt: at(origin, startsSec[0] ?? 0), endsAt: at(origin, endSec), moments };
    })
    .sort((a, b) => epochMs(a.startsAt) - epochMs(b.startsAt));
}

/**
 * What starts that somebody proposes break on a bench, by `checkPlan`; empty for a plan that can be followed. Instants
 * between whole seconds of the bench are no starts of a plan and are found too.
 */
export function checkBenchRuns(
  bench: Bench,
  runs: readonly { id: string; startsAt: Instant[]; hands: (string | null)[] }[],
): PlanViolation[] {
  const origin = originOf(bench);
  const schedule = runs.map(({ id, startsAt, hands }) => ({
    run: id,
    startsSec: startsAt.map((instant) => (epochMs(instant) - origin) / 1000),
    hands,
  }));
  return checkPlan(withoutOverdue(problemOfBench(bench)), schedule);
}

/**
 * Which planned runs have been started since, by the run that does them: of each revision the earliest start goes to the
 * earliest planned one. `startedOf([{id: 'a', revisionId: 'r', startsAt: '…10:00…'}], [{id: 'x', revisionId: 'r',
 * startedAt: '…10:02…'}])` maps a to x.
 */
export function startedOf(
  planned: readonly { id: string; revisionId: string; startsAt: Instant }[],
  runs: readonly { id: string; revisionId: string; startedAt: Instant }[],
): Map<string, string> {
  const free = runs.toSorted((a, b) => epochMs(a.startedAt) - epochMs(b.startedAt));
  const taken = new Map<string, string>();
  for (const { id, revisionId } of planned.toSorted((a, b) => epochMs(a.startsAt) - epochMs(b.startsAt))) {
    const n = free.findIndex((run) => run.revisionId === revisionId);
    const [run] = n < 0 ? [] : free.splice(n, 1);
    if (run) taken.set(id, run.id);
  }
  return taken;
}

function whyNone(bench: Bench, obstacles: readonly Obstacle[], minimal: boolean): string {
  if (obstacles.length === 0) return 'There is no plan: the windows of the steps alone leave none.';
  const named = obstacles.map((obstacle) => obstacleText(bench, obstacle)).join('; ');
  const how = minimal ? 'Easing any one of these makes the others possible' : 'These stand in the way';
  return `There is no plan. ${how}: ${named}.`;
}

function obstacleText(bench: Bench, obstacle: Obstacle): string {
  const run = (id: string): string => `“${protocolOf(bench, id).title}”`;
  switch (obstacle.kind) {
    case 'hands':
      return 'there are too few pairs of hands';
    case 'away':
      return obstacle.toSec === null
        ? `${obstacle.hands} leaves the bench too early`
        : `${obstacle.hands} comes to the bench too late`;
    case 'busy':
      return 'an errand takes hands';
    case 'station':
      return `the place for ${obstacle.station.replaceAll('-', ' ')} takes too few racks`;
    case 'run':
      return `${run(obstacle.run)} is among the runs`;
    case 'earliest':
      return `${run(obstacle.run)} may start only later`;
    case 'latest start':
      return `${run(obstacle.run)} has to start early`;
    case 'deadline':
      return `${run(obstacle.run)} has to be over by its deadline`;
    case 'longest': {
      const { title, steps } = protocolOf(bench, obstacle.run);
      return `“${steps[obstacle.step]?.action ?? LAST}” of “${title}” may not last longer`;
    }
    case 'horizon':
      return 'the day ends';
  }
}

function protocolOf({ wanted, going }: Bench, id: string): Pick<Protocol, 'title' | 'steps'> {
  return [...wanted, ...going].find((run) => run.id === id)?.protocol ?? { title: id, steps: [] };
}

function at(origin: number, sec: number): Instant {
  return instantOf(origin + sec * 1000);
}

function spoken(sec: number): string {
  return sec < 120 ? `${sec} s` : `${Math.ceil(sec / 60)} min`;
}
