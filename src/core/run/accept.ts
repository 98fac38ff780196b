import { checkCriteria, readBy } from '../controls/criteria.js';
import type { PlannedControl } from '../controls/planned.js';
import { checkReading } from '../controls/result.js';
import type { Finding } from '../gate/finding.js';
import { toCelsius } from '../gate/temperature.js';
import type { Protocol } from '../protocol/protocol.js';
import type { Problem } from '../refusal.js';
import { Refusal } from '../refusal.js';
import { type Instant, epochMs } from '../time/instant.js';
import type { RunEvent, RunEventData, RunEventKind, RunPurpose, RunSubject } from './events.js';
import { controlOutcomes, eventsOf, type RunState, type StepState } from './state.js';

/** What an event is checked against before it is kept. */
export interface RunContext {
  protocol: Protocol;
  subjects: readonly RunSubject[];
  /** The controls that the run may carry, as its plan had them when it started; asked only by a control's reading. */
  controls: readonly PlannedControl[];
  state: RunState;
  /** Every event of the run, corrected or not, for corrections to name. */
  events: readonly RunEvent[];
  /** Ids of containers that exist. */
  knownContainer: (id: string) => boolean;
  /** What the gate finds now; asked only by what settles a finding, which nobody may do before there is one. */
  findings: readonly Finding[];
  /** Who records it. */
  personId: string;
  now: Instant;
}

/** What can still be said of a run that has left the bench. */
const AFTER_CLEARING: readonly RunEventKind[] = ['corrected', 'noted', 'device-settled', 'device-lost'];

/** How far ahead of the server a device's estimate may lie beyond its own uncertainty, in ms. */
const AHEAD_MS = 2000;
/** No clock is so unsure that it may write tomorrow's time today. */
const MOST_UNSURE_MS = 3_600_000;

/** In degrees Celsius: what is colder cannot be, and hotter than a furnace is a slip of the keys. */
const [ABSOLUTE_ZERO, HOTTEST] = [-273.15, 1000];

/**
 * Refuses an event that cannot have happened or makes no sense now; whatever may have happened, however unwelcome, is
 * kept and judged by the gate. Messages say what would be right.
 */
export function checkEvent<K extends RunEventKind>(
  kind: K,
  data: RunEventData[K],
  stamp: RunEvent['stamp'],
  context: RunContext,
): void {
  checkTime(stamp, context.now);
  const { state } = context;
  const cleared = eventsOf(state.events, 'cleared').at(-1)?.stamp.at;
  // What was done before may come after it, from a device that was cut off when another cleared the bench.
  if (cleared !== undefined && !AFTER_CLEARING.includes(kind) && (kind === 'cleared' || stamp.at > cleared)) {
    throw conflict(
      'run-cleared',
      `This run was cleared from the bench at ${cleared}, and takes only what was done before that; start a new run, or correct or note something in this one.`,
    );
  }
  if (
    state.abandoned &&
    (kind === 'step-started' || kind === 'step-ended' || kind === 'tray-scanned' || kind === 'abandoned')
  ) {
    throw conflict('run-abandoned', `This run was abandoned at ${state.abandoned.at}; start a new run.`);
  }
  CHECKS[kind](data, stamp, context);
}

type Check<K extends RunEventKind> = (data: RunEventData[K], stamp: RunEvent['stamp'], context: RunContext) => void;

const CHECKS: { [K in RunEventKind]: Check<K> } = {
  'tray-scanned': ({ reagent, container, step }, _stamp, { protocol, knownContainer }) => {
    const wanted = protocol.steps.filter((each) => each.reagent === reagent);
    if (wanted.length === 0) {
      const codes = [...new Set(protocol.steps.flatMap((each) => each.reagent ?? []))];
      throw invalid('data.reagent', `No step of ${protocol.title} uses "${reagent}"; it uses ${codes.join(', ')}.`);
    }
    if (step !== undefined && !wanted.some(({ id }) => id === step)) {
      throw invalid(
        'data.step',
        `Step "${step}" does not use "${reagent}"; these do: ${wanted.map(({ id }) => id).join(', ')}.`,
      );
    }
    if (!knownContainer(container)) {
      throw invalid('data.container', `There is no container "${container}"; receive it under Stock, then scan it.`);
    }
  },
  'step-started': ({ step, again }, _stamp, context) => {
    const { performances, step: known } = needStep(context, step);
    if (performances.at(-1)?.ended === null) {
      throw conflict(
        'step-running',
        `${known.action} is running since ${performances.at(-1)?.started.stamp.at}; end it first.`,
      );
    }
    if (performances.length > 0 && !again) {
      throw conflict(
        'step-done',
        `${known.action} was done already; say "again" to do it once more, or correct its times.`,
      );
    }
  },
  'step-ended': ({ step }, stamp, context) => {
    const { performances, step: known } = needStep(context, step);
    const running = performances.at(-1);
    if (running?.ended !== null) {
      throw conflict('step-not-running', `${known.action} is not running; start it first.`);
    }
    const start = running.started.stamp;
    const sameClock = start.clockSession !== undefined && start.clockSession === stamp.clockSession;
    const before =
      sameClock && start.monotonicMs != null && stamp.monotonicMs != null
        ? stamp.monotonicMs < start.monotonicMs
        : epochMs(stamp.at) + (stamp.uncertaintyMs ?? Infinity) < epochMs(start.at) - (start.uncertaintyMs ?? Infinity);
    if (before) throw invalid('stamp.at', `${known.action} started at ${start.at}; its end cannot lie before that.`);
  },
  'temperature-read': ({ step, value, unit }, _stamp, context) => {
    needStep(context, step);
    const celsius = toCelsius(value, unit);
    if (celsius < ABSOLUTE_ZERO || celsius > HOTTEST) {
      throw invalid(
        'data.value',
        `${value} ${unit} is no temperature of a bath; read the thermometer and its unit again.`,
      );
    }
  },
  corrected: ({ event, at, withdrawn, uncertaintyMs }, _stamp, { events, now }) => {
    const named = events.find(({ id }) => id === event);
    if (!named) throw invalid('data.event', `This run has no event "${event}".`);
    if (named.kind === 'corrected')
      throw invalid('data.event', 'A correction is not corrected; correct the event it names once more.');
    if ((at === undefined) === (withdrawn === undefined)) {
      throw invalid(
        'data',
        'Say either when it really happened ("at" with "uncertaintyMs") or that it did not ("withdrawn").',
      );
    }
    if (at !== undefined && uncertaintyMs === undefined) {
      throw invalid(
        'data.uncertaintyMs',
        'Say how sure the time is, in milliseconds, such as 30000 for a time known to the minute.',
      );
    }
    if (at !== undefined && epochMs(at) > epochMs(now))
      throw invalid('data.at', `${at} lies in the future; it is ${now}.`);
  },
  noted: ({ step, subject }, _stamp, context) => {
    if (step !== undefined) needStep(context, step);
    if (subject !== undefined) needSubject(context, subject, 'data.subject');
  },
  abandoned: () => undefined,
  'subject-spoiled': ({ subject }, _stamp, context) => void needSubject(context, subject, 'data.subject'),
  'control-read': ({ control, passed, reading = 'first', criteria = [] }, _stamp, context) => {
    const subject = needSubject(context, control, 'data.control');
    if (subject.role !== 'control') {
      throw invalid(
        'data.control',
        `"${control}" is a patient's; only controls are read against an expected reaction.`,
      );
    }
    const earlier = controlOutcomes(context.state.events).findLast(({ event }) => event.data.control === control);
    checkReading({ reading, passed, personId: context.personId, criteria }, earlier ?? null);
    const planned = context.controls.find(({ id }) => id === subject.control);
    if (planned) checkCriteria(criteria, passed, readBy(context.protocol, planned));
  },
  acknowledged: ({ finding }, _stamp, { findings }) => {
    if (!findings.some(({ id, weight }) => id === finding && weight === 'caution')) {
      throw invalid(
        'data.finding',
        noFinding(
          finding,
          'caution',
          findings.filter(({ weight }) => weight === 'caution'),
        ),
      );
    }
  },
  resolved: ({ finding }, _stamp, { findings }) => {
    if (!/^[a-z-]+-undecided:/.test(finding)) {
      throw invalid(
        'data.finding',
        `"${finding}" is not undecided; only what the clocks could not decide is resolved by a person.`,
      );
    }
    if (!findings.some(({ id }) => id === finding)) {
      const undecided = findings.filter(({ rule }) => rule.endsWith('-undecided'));
      throw invalid('data.finding', noFinding(finding, 'undecided finding', undecided));
    }
  },
  'identity-confirmed': ({ subject }, _stamp, context) => void needSubject(context, subject, 'data.subject'),
  answered: ({ subject, point }, _stamp, context) => {
    needSubject(context, subject, 'subjectId');
    needPoint(context.protocol, point);
  },
  attested: ({ subject }, _stamp, context) => void needSubject(context, subject, 'subjectId'),
  supervised: () => undefined,
  'device-settled': ({ device }, stamp) => {
    if (device !== stamp.device) {
      throw invalid('data.device', `${stamp.device} speaks for itself alone, not for "${device}".`);
    }
  },
  'device-lost': ({ device }, _stamp, { events }) => {
    const known = [...new Set(events.flatMap((each) => (each.stamp.unsent === undefined ? [] : [each.stamp.device])))];
    if (!known.includes(device)) {
      throw invalid(
        'device',
        `Nothing that keeps entries back worked on this run as "${device}"; these did: ${known.join(', ') || 'none'}.`,
      );
    }
  },
  cleared: (_data, _stamp, { state }) => {
    const running = state.running[0];
    if (running && !state.abandoned) {
      throw conflict(
        'step-running',
        `${running.step.action} is still running; end it or abandon the run, then clear the station.`,
      );
    }
  },
};

/** Refuses a run that its protocol cannot be done with: nobody's specimen, a control that answers nothing. */
export function checkNewRun(
  protocol: Protocol,
  purpose: RunPurpose,
  subjects: readonly Omit<RunSubject, 'id'>[],
  /** Ids of the controls of its plan. */
  planned: readonly string[] = protocol.controls.map(({ id }) => id),
): void {
  const problems = subjects.flatMap(({ role, control }, n): Problem[] => {
    const at = `subjects.${n}.control`;
    const ids = planned;
    if (role === 'control' && control === undefined)
      return [{ at, message: `say which control this is: ${ids.join(', ')}` }];
    if (role === 'control' && !ids.includes(control as string)) {
      return [{ at, message: `${protocol.title} has no control "${control}"; it has ${ids.join(', ')}` }];
    }
    if (role === 'patient' && control !== undefined)
      return [{ at, message: 'a patient’s specimen or slide is no control; leave it out' }];
    return [];
  });
  const patients = subjects.filter(({ role }) => role === 'patient');
  if (purpose === 'patients' && patients.length === 0) {
    problems.push({
      at: 'subjects',
      message: 'a run for patients needs at least one specimen or slide with the role "patient"',
    });
  }
  if (purpose !== 'patients' && patients.length > 0) {
    problems.push({
      at: 'subjects',
      message: `a run for ${purpose} has no patient’s specimens; give them the role "control" or start a run for patients`,
    });
  }
  if (problems.length > 0)
    throw new Refusal('invalid', 'run-impossible', 'The run cannot be started like this.', problems);
}

/** The release point of that name. */
export function needPoint(protocol: Protocol, point: string): Protocol['releasePoints'][number] {
  const found = protocol.releasePoints.find(({ id }) => id === point);
  if (found) return found;
  const ids = protocol.releasePoints.map(({ id }) => id);
  throw invalid('point', `${protocol.title} has no release point "${point}"; it has ${ids.join(', ')}.`);
}

function checkTime(stamp: RunEvent['stamp'], now: Instant): void {
  const unsure = Math.min(stamp.uncertaintyMs ?? 0, MOST_UNSURE_MS);
  if (epochMs(stamp.at) > epochMs(now) + unsure + AHEAD_MS) {
    throw invalid(
      'stamp.at',
      `${stamp.at} lies in the future; it is ${now}. Let the device take the server's time anew.`,
    );
  }
}

function needStep({ protocol, state }: RunContext, step: string): StepState {
  const found = state.steps.find((each) => each.step.id === step);
  if (found) return found;
  throw invalid(
    'data.step',
    `${protocol.title} has no step "${step}"; it has ${protocol.steps.map(({ id }) => id).join(', ')}.`,
  );
}

function noFinding(finding: string, sort: string, those: readonly Finding[]): string {
  const ids = [...new Set(those.map(({ id }) => id))].join(', ');
  return `The gate has no ${sort} "${finding}" now; it has ${ids || 'none'}.`;
}

function needSubject({ subjects }: RunContext, subject: string, at: string): RunSubject {
  const found = subjects.find(({ subjectId }) => subjectId === subject);
  if (found) return found;
  throw invalid(
    at,
    `"${subject}" is not in this run; it has ${subjects.map(({ subjectId }) => subjectId).join(', ')}.`,
  );
}

function invalid(at: string, message: string): Refusal {
  return new Refusal('invalid', 'invalid-event', message, [{ at, message }]);
}

function conflict(code: string, message: string): Refusal {
  return new Refusal('conflict', code, message);
}
