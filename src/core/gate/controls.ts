import {
  type Coverage,
  type CoveringResult,
  coverageOf,
  indexOf,
  type ResultIndex,
  type Use,
  usedWith,
} from '../controls/coverage.js';
import { clockName, type PlannedClock, type PlannedControl } from '../controls/planned.js';
import { type ReadControl, controlReadings, type RunState } from '../run/state.js';
import type { GateSubject, RunFacts } from './facts.js';
import type { Finding } from './finding.js';
import { finding } from './make-finding.js';

/**
 * What speaks against the controls of the plan that was in force when the run started. A control in the run must have
 * reacted as expected, and been read by as many as the plan asks for; where a required one is not in the run, each of its
 * clocks is judged by itself. A control that was stained and failed speaks against the run even if it was not required.
 */
export function controlFindings(facts: RunFacts, state: RunState): Finding[] {
  const readings = controlReadings(state.events);
  return facts.controls.plan.controls.flatMap((planned) => {
    const own = facts.subjects.filter(({ role, control }) => role === 'control' && control === planned.id);
    if (own.length === 0) return planned.required ? uncovered(planned, facts, state) : [];
    return own.flatMap((subject) => readingFinding(planned, subject, readings.get(subject.id)));
  });
}

function readingFinding(planned: PlannedControl, { id, label }: GateSubject, read: ReadControl | undefined): Finding[] {
  const name = `The ${planned.kind} control ${label}`;
  if (!read) {
    return planned.required
      ? [finding('control-unread', { about: id, what: `${name} has not been read.`, against: planned.expected })]
      : [];
  }
  if (!read.data.passed) {
    return [
      finding('control-failed', {
        about: id,
        at: read.stamp.at,
        what: `${name} did not react as expected.`,
        measured: read.data.observed,
        against: planned.expected,
      }),
    ];
  }
  const alone = planned.secondReader && read.second === 'none';
  const unseen = planned.pictures && (read.data.pictures ?? []).length === 0;
  return [
    ...(alone
      ? [
          finding('control-second-reader', {
            about: id,
            at: read.stamp.at,
            what: `${name} was read by one person; the plan asks for two.`,
          }),
        ]
      : []),
    ...(unseen
      ? [
          finding('control-picture-missing', {
            about: id,
            at: read.stamp.at,
            what: `${name} has no picture, which the plan asks for.`,
          }),
        ]
      : []),
  ];
}

/** One finding for each clock that is not met; one for all when nothing passed on this revision and these lots. */
function uncovered(planned: PlannedControl, facts: RunFacts, state: RunState): Finding[] {
  const { results, uses, plan } = facts.controls;
  const use = useOf(facts, state);
  const index = indexed(results, facts.runId);
  const coverage = coverageOf(planned, use, { use: plan.use, results: index, uses });
  const open = coverage.filter(({ state: met }) => met !== 'met');
  const nothing = coverage.every(({ by, nearest }) => !by && !nearest);
  if (open.length > 0 && nothing) return [missing(planned, open, use)];
  return open.map((each) => clockFinding(planned, each, use));
}

function missing(planned: PlannedControl, open: readonly Coverage[], use: Use): Finding {
  const due = planned.clocks.flatMap((clock) => {
    const own = open.filter((each) => each.clock === clock);
    return own.length === 0 ? [] : [dueWhen(clock, own, use)];
  });
  return finding('control-missing', {
    about: planned.id,
    what: `The ${planned.kind} control was not stained; it is due ${due.join('; ')}.`,
    against: `${planned.material}: ${planned.expected}`,
  });
}

function clockFinding(planned: PlannedControl, coverage: Coverage, use: Use): Finding {
  const { clock, reagent, state, by, nearest } = coverage;
  const name = `The ${planned.kind} control`;
  const about = [planned.id, reagent ?? clockName(clock)].join(':');
  const against = `${planned.material}: ${planned.expected}`;
  const due = dueWhen(clock, [coverage], use);
  if (state === 'failed' && by) {
    const what = `${name} of another run that would answer for this one failed; it is due ${due}.`;
    return finding('control-failed', { about, at: by.at, what, against });
  }
  if (reagent !== null) {
    return finding('control-lot-unchecked', { about, what: `${name} has not passed ${due}.`, against });
  }
  if (nearest && clock.when !== 'each use' && clock.when !== 'each group of slides') {
    const what = `${name} is due ${due}; it last passed with these lots at ${nearest.at}.`;
    return finding('control-stale', { about, at: nearest.at, what, measured: nearest.at, against });
  }
  return finding('control-missing', { about, what: `${name} was not stained; it is due ${due}.`, against });
}

/** 'each new lot or shipment: lot TW-26-01 of eosin-y (42 CFR 493.1256(e)(1))' */
function dueWhen(clock: PlannedClock, of: readonly Coverage[], { stains }: Use): string {
  const lots = of.flatMap(({ reagent }) => stains.filter((each) => each.reagent === reagent));
  const named = lots.map(({ reagent, number }) => `lot ${number} of ${reagent}`).join(', ');
  return `${clockName(clock)}${named === '' ? '' : `: ${named}`} (${clock.clause})`;
}

/** Runs that are judged together share their results, so that these are put in order once. */
const INDEXES = new WeakMap<readonly CoveringResult[], ResultIndex>();

/** Results of other runs by where they are looked for. */
function indexed(results: readonly CoveringResult[], runId: string): ResultIndex {
  if (results.some((each) => each.runId === runId)) return indexOf(results.filter((each) => each.runId !== runId));
  const known = INDEXES.get(results) ?? indexOf(results);
  INDEXES.set(results, known);
  return known;
}

/** The run as the clocks look at it. */
function useOf(facts: RunFacts, state: RunState): Use {
  const { day, week, month, patients, revisionId, station } = facts.controls;
  const serviced = facts.instruments
    .flatMap(({ acts }) => acts)
    .filter(({ kind, at }) => kind === 'serviced' && at <= facts.startedAt)
    .map(({ at }) => at)
    .sort();
  return {
    runId: facts.runId,
    revisionId,
    station,
    at: facts.startedAt,
    day,
    week,
    month,
    patients,
    slides: facts.subjects.filter(({ role }) => role === 'patient').length,
    ...usedWith(
      facts.reagents,
      state.tray.flatMap(({ reagent, container }) => {
        const found = facts.containers.find(({ id }) => id === container);
        if (!found) return [];
        const openedAt = found.states.find((each) => each.state === 'opened')?.at ?? null;
        return [{ reagent, lotId: found.lot.id, number: found.lot.number, openedAt }];
      }),
    ),
    servicedAt: serviced.at(-1) ?? null,
  };
}

/** The lot of each reagent on the tray; of several, the last one scanned. */
export function lotsUsed(
  { containers }: Pick<RunFacts, 'containers'>,
  state: Pick<RunState, 'tray'>,
): Record<string, string> {
  return Object.fromEntries(
    state.tray.flatMap(({ reagent, container }) => {
      const found = containers.find(({ id }) => id === container);
      return found ? [[reagent, found.lot.id]] : [];
    }),
  );
}
