import type { ControlRequirement } from '../protocol/protocol.js';
import { controlReadings, type RunState } from '../run/state.js';
import type { GateSubject, OtherControl, RunFacts } from './facts.js';
import type { Finding } from './finding.js';
import { finding } from './make-finding.js';

/** Controls that must stand in the run itself; the others may have been stained in another run of the same period. */
const IN_THE_RUN = ['each use', 'each group of slides'];

/**
 * What speaks against the controls: each required one must be in the run, or, where its rule allows, in another run of
 * the same period, revision and lots, and must have reacted as expected. A control that was stained and failed speaks
 * against the run even if it was not required.
 */
export function controlFindings(facts: RunFacts, state: RunState): Finding[] {
  const readings = controlReadings(state.events);
  return facts.protocol.controls.flatMap((requirement) => {
    const own = facts.subjects.filter(({ role, control }) => role === 'control' && control === requirement.id);
    if (own.length === 0) return requirement.required ? uncovered(requirement, facts, state) : [];
    return own.flatMap((subject) => readingFinding(requirement, subject, readings.get(subject.id)));
  });
}

type Reading = ReturnType<typeof controlReadings> extends Map<string, infer T> ? T : never;

function readingFinding(
  requirement: ControlRequirement,
  { id, label }: GateSubject,
  reading: Reading | undefined,
): Finding[] {
  const name = `The ${requirement.kind} control ${label}`;
  if (!reading) {
    return requirement.required
      ? [finding('control-unread', { about: id, what: `${name} has not been read.`, against: requirement.expected })]
      : [];
  }
  if (reading.data.passed) return [];
  return [
    finding('control-failed', {
      about: id,
      at: reading.stamp.at,
      what: `${name} did not react as expected.`,
      measured: reading.data.observed,
      against: requirement.expected,
    }),
  ];
}

function uncovered(requirement: ControlRequirement, facts: RunFacts, state: RunState): Finding[] {
  const inTheRun = IN_THE_RUN.includes(requirement.when);
  const lots = inTheRun ? {} : lotsUsed(facts, state);
  const covering = inTheRun
    ? []
    : facts.otherControls
        .filter((other) => other.requirement === requirement.id && coversLots(other, lots))
        .sort((a, b) => (a.at < b.at ? -1 : 1));
  const latest = covering.at(-1);
  if (latest?.passed) return [];
  if (latest) {
    return [
      finding('control-failed', {
        about: requirement.id,
        at: latest.at,
        what: `The ${requirement.kind} control of another run that would answer for this one failed.`,
        against: requirement.expected,
      }),
    ];
  }
  const where = inTheRun ? 'in this run' : `in this or another run with the same lots (${requirement.when})`;
  return [
    finding('control-missing', {
      about: requirement.id,
      what: `The ${requirement.kind} control was not stained ${where}.`,
      against: `${requirement.material}: ${requirement.expected}`,
    }),
  ];
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

function coversLots(other: OtherControl, lots: Record<string, string>): boolean {
  return Object.entries(lots).every(([reagent, lot]) => other.lots[reagent] === lot);
}
