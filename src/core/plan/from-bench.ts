import type { Protocol, Step } from '../protocol/protocol.js';
import { stepWindow, targetMs, UNIT_MS } from '../protocol/windows.js';
import { type Problem, Refusal } from '../refusal.js';
import type { RunEvent } from '../run/events.js';
import { runState } from '../run/state.js';
import { epochMs, type Instant, instantOf } from '../time/instant.js';
import type { Hands, Interval, PlanProblem, PlanRun, PlanStep } from './problem.js';

/** A run to be done: one rack of one protocol. */
export interface WantedRun {
  id: string;
  protocol: Protocol;
  earliestAt?: Instant;
  deadlineAt?: Instant;
  /** Lower is planned to end first; 0 when absent. */
  priority?: number;
}

/** A run that goes already, with the starts of the steps that have begun, from the first on. */
export interface GoingRun {
  id: string;
  protocol: Protocol;
  begunAt: Instant[];
  /** The step begun last has ended: none of its limits waits any more. */
  lastEnded: boolean;
}

/** A person's pair of hands and when it is at the bench. */
export interface HandsAtBench {
  name: string;
  from: Instant;
  to: Instant;
}

/** A dish, bath or instrument for a reagent, of which there is only so much. */
export interface Place {
  /** Code of the reagent; every step that uses it needs the place. */
  reagent: string;
  /** How many racks it takes at a time. */
  racks: number;
}

/** What the bench has and is asked to do, at an instant before which nothing new can start. */
export interface Bench {
  at: Instant;
  wanted: WantedRun[];
  going: GoingRun[];
  hands: HandsAtBench[];
  places: Place[];
}

/** What is planned at once at most, going runs included: what the planner answers in about two seconds. */
export const MOST_RUNS = 24;

/**
 * How far a run that stands on the bench is, for the plan; null when nothing of it is left to do. Steps left out before
 * the last begun one count as begun with the one before.
 */
export function goingRun(id: string, protocol: Protocol, events: readonly RunEvent[]): GoingRun | null {
  const { steps, running, next, abandoned, cleared } = runState(protocol, events);
  if (abandoned || cleared || (running.length === 0 && !next)) return null;
  const last = steps.findLastIndex(({ performances }) => performances.length > 0);
  const begunAt: Instant[] = [];
  const first = steps.flatMap(({ performances }) => performances[0]?.started.stamp.at ?? []).sort()[0];
  for (const { index, performances } of steps) {
    if (index > last) break;
    const before = begunAt.at(-1) ?? (first as Instant);
    const at = performances[0]?.started.stamp.at ?? before;
    begunAt.push(at < before ? before : at);
  }
  return { id, protocol, begunAt, lastEnded: running.length === 0 };
}

/** The whole second from which a bench's plan counts: the earliest of its instant and of what has begun. */
export function originOf({ at, going }: Pick<Bench, 'at' | 'going'>): number {
  const begun = going.flatMap(({ begunAt }) => begunAt.map(epochMs));
  return Math.floor(Math.min(epochMs(at), ...begun) / 1000) * 1000;
}

/**
 * The planner's problem for a bench, in whole seconds from `originOf`. A rack goes straight from one step into the next:
 * the moment at a border is what hands do at the end of the one and at the start of the other, and the end of the last
 * step is a moment of its own. Windows are rounded inwards. Refuses no hands, too many runs, times more than 31 days
 * ahead, a step longer than a day, a minimum above its maximum, a transfer longer than its gap allows, a deadline that
 * is no later than the earliest start.
 * One step `{min: 60 s, handsOn: {start: 5, end: 3}}` makes the steps `[{handsOnSec: 5, minSec: 60, …}, {handsOnSec: 3, …}]`.
 */
export function problemOfBench(bench: Bench): PlanProblem {
  const { at, wanted, going, hands, places } = bench;
  refuseCounts(bench);
  const origin = originOf(bench);
  refuseFar(bench, origin);
  const up = (instant: Instant): number => Math.max(0, Math.ceil((epochMs(instant) - origin) / 1000));
  const down = (instant: Instant): number => Math.max(0, Math.floor((epochMs(instant) - origin) / 1000));
  const limited = new Set(places.map(({ reagent }) => reagent));
  return {
    nowSec: up(at),
    hands: hands.map(({ name, from, to }): Hands => {
      if (to <= from) {
        throw bad(`${name} is at the bench until ${to}, which is not after ${from}; give an end after the start.`);
      }
      const before: Interval[] = up(from) > 0 ? [{ fromSec: 0, toSec: up(from) }] : [];
      return { id: name, away: [...before, { fromSec: Math.max(down(to), up(from)), toSec: null }] };
    }),
    stations: places.map(({ reagent, racks }) => ({ id: reagent, capacity: racks })),
    runs: [
      ...going.map(({ id, protocol, begunAt, lastEnded }): PlanRun => {
        const steps = stepsOf(protocol, limited, begunAt.length);
        const last = steps[begunAt.length - 1];
        if (lastEnded && last) [last.minSec, last.maxSec, last.targetSec] = [0, null, 0];
        return { id, steps, begunSec: begunAt.map(down) };
      }),
      ...wanted.map(({ id, protocol, earliestAt, deadlineAt, priority }): PlanRun => {
        if (earliestAt !== undefined && deadlineAt !== undefined && deadlineAt <= earliestAt) {
          throw bad(
            `“${protocol.title}” is to be over by ${deadlineAt} and not to start before ${earliestAt}; give a later end.`,
          );
        }
        return {
          id,
          steps: stepsOf(protocol, limited, 0),
          ...(earliestAt !== undefined && { earliestSec: up(earliestAt) }),
          ...(deadlineAt !== undefined && { deadlineSec: down(deadlineAt) }),
          ...(priority !== undefined && { priority }),
        };
      }),
    ],
  };
}

function bad(message: string, problems: Problem[] = []): Refusal {
  return new Refusal('invalid', 'not-plannable', message, problems);
}

/** A bench is planned for hours; seconds far beyond are no figures that the planner takes. */
const FURTHEST_DAYS = 31;

function refuseFar({ wanted, hands }: Bench, origin: number): void {
  const times = [
    ...wanted.flatMap(({ earliestAt, deadlineAt }, n) => [
      { at: `wanted.${n}.earliestAt`, time: earliestAt },
      { at: `wanted.${n}.deadlineAt`, time: deadlineAt },
    ]),
    ...hands.flatMap(({ from, to }, n) => [
      { at: `hands.${n}.from`, time: from },
      { at: `hands.${n}.to`, time: to },
    ]),
  ];
  const latest = origin + FURTHEST_DAYS * 86_400_000;
  const far = times.filter(({ time }) => time !== undefined && epochMs(time) > latest);
  if (far.length === 0) return;
  const message = `give a time before ${instantOf(latest)}`;
  throw bad(
    `A plan looks at most ${FURTHEST_DAYS} days ahead; ${far.map(({ at, time }) => `${at} is ${time}`).join(', ')}.`,
    far.map(({ at }) => ({ at, message })),
  );
}

function refuseCounts({ wanted, going, hands }: Bench): void {
  if (hands.length === 0) {
    throw bad('No hands are given; name at least one person and from when to when that person is at the bench.');
  }
  const runs = wanted.length + going.length;
  if (runs === 0) throw bad('There is no run to plan; choose at least one.');
  if (runs > MOST_RUNS) {
    throw bad(
      `${runs} runs at once, of which ${going.length} go already; at most ${MOST_RUNS} are planned together. Plan the first ones now and the rest later.`,
    );
  }
}

/** A protocol's steps for the planner; those of which `begun` have begun are facts, whose windows count from their start. */
function stepsOf({ title, steps }: Protocol, limited: ReadonlySet<string>, begun: number): PlanStep[] {
  const planned = steps.map((step, k): PlanStep => {
    const takenOut = k < begun ? 0 : Math.ceil(steps[k - 1]?.handsOn.end ?? 0);
    if (k >= begun) refuseStep(title, step, takenOut);
    const { minMs, maxMs } = stepWindow(step);
    const targetSec = Math.round(targetMs(step) / 1000);
    // A handling step has no least time: it is planned for what it usually takes.
    const least = minMs === null ? Math.min(targetSec, (maxMs ?? Infinity) / 1000) : minMs / 1000;
    const [min, max] = [Math.ceil(least), maxMs === null ? null : Math.floor(maxMs / 1000)];
    const handsOnSec = takenOut + Math.ceil(step.handsOn.start);
    const minSec = Math.max(min + takenOut, handsOnSec);
    return {
      handsOnSec,
      minSec,
      // A window narrower than a second keeps the second that it lies in.
      maxSec: max === null ? null : Math.max(max + takenOut, minSec),
      targetSec: Math.max(targetSec + takenOut, minSec),
      ...(step.reagent !== undefined && limited.has(step.reagent) && { station: step.reagent }),
    };
  });
  const end = Math.ceil(steps.at(-1)?.handsOn.end ?? 0);
  return [...planned, { handsOnSec: end, minSec: 0, maxSec: null }];
}

function refuseStep(title: string, step: Step, takenOut: number): void {
  const { time, handsOn, gap } = step;
  const named = `step “${step.action}” of “${title}”`;
  const { minMs, maxMs } = stepWindow(step);
  if (minMs !== null && maxMs !== null && minMs > maxMs) {
    throw bad(
      `The window of ${named} contradicts itself: at least ${time.min} ${time.unit} and at most ${time.max} ${time.unit}. Correct the protocol.`,
    );
  }
  if (Math.max(minMs ?? 0, targetMs(step)) > UNIT_MS.d) {
    throw bad(
      `The ${named} takes ${time.target} ${time.unit}, longer than a day; the bench is planned within a day, so plan what comes after it.`,
    );
  }
  if (maxMs !== null && handsOn.start * 1000 > maxMs) {
    throw bad(
      `The ${named} keeps hands busy for ${handsOn.start} s and may last at most ${time.max} ${time.unit}. Correct the protocol.`,
    );
  }
  if (gap && takenOut * 1000 > gap.max * UNIT_MS[gap.unit]) {
    throw bad(
      `Before ${named} hands take ${takenOut} s, and at most ${gap.max} ${gap.unit} may pass. Correct the protocol.`,
    );
  }
}
