import { counted } from '../counted.js';
import type { Protocol, ReleasePoint } from '../protocol/protocol.js';
import { needPoint } from '../run/accept.js';
import { Refusal } from '../refusal.js';
import type { Verdict } from '../run/events.js';
import { type EventOf, eventsOf, type RunState, runState } from '../run/state.js';
import { containerFindings } from './containers.js';
import { controlFindings } from './controls.js';
import { cytologyFindings } from './cytology.js';
import { deviceFindings } from './devices.js';
import { failureFindings } from './failures.js';
import type { GateSubject, RunFacts } from './facts.js';
import type { Finding } from './finding.js';
import { instrumentFindings } from './instruments.js';
import { finding } from './make-finding.js';
import { peopleFindings } from './people.js';
import { underPolicy } from './policy.js';
import { RULES, RULES_VERSION } from './rules.js';
import { stepFindings } from './steps.js';
import { tissueFindings } from './tissue.js';

/** What the gate says of one specimen or slide at one release point. */
export interface PointJudgement {
  point: string;
  title: string;
  verdict: Verdict;
  /** The subject's own findings and those of the whole run, weightiest first. */
  findings: Finding[];
}

export interface SubjectJudgement {
  subjectId: string;
  label: string;
  points: PointJudgement[];
}

export interface Judgement {
  judgedTo: number;
  rules: string;
  /** One for each patient's specimen or slide. */
  subjects: SubjectJudgement[];
}

/**
 * The gate: from a run's facts to its findings and a verdict for each patient's specimen or slide and release point.
 * What the laboratory tightened, as it stood when the run started, weighs as it says.
 * Each act is judged at its own instant, so the answer is the same whenever it is asked. Clear means no unsettled stop
 * and every caution acknowledged.
 */
export function judge(facts: RunFacts): Judgement {
  const state = runState(facts.protocol, facts.events);
  const settled = settler(state);
  const settle = (found: Finding): Finding => settled(underPolicy(found, facts.policy));
  const patients = facts.subjects.filter(({ role }) => role === 'patient');
  const points = facts.protocol.releasePoints.map((point) => ({
    point,
    shared: runFindings(facts, state, point).map(settle),
  }));
  const subjects = new Map(
    patients.map((subject) => [
      subject.id,
      [...subjectFindings(subject, state), ...tissueFindings(subject, facts)].map(settle),
    ]),
  );
  return {
    judgedTo: facts.judgedTo,
    rules: RULES_VERSION,
    subjects: patients.map((subject) => ({
      subjectId: subject.id,
      label: subject.label,
      points: points.map(({ point, shared }) => {
        const own = shared.filter(({ subjectId }) => subjectId === null || subjectId === subject.id);
        const findings = [...(subjects.get(subject.id) ?? []), ...own].sort(byWeight);
        return { point: point.id, title: point.title, verdict: verdictOf(findings), findings };
      }),
    })),
  };
}

/** What the gate says of one specimen or slide at one point; refuses what the run or its protocol does not have. */
export function needJudgement(
  { subjects }: Judgement,
  protocol: Protocol,
  subjectId: string,
  point: string,
): PointJudgement {
  needPoint(protocol, point);
  const found = subjects
    .find((subject) => subject.subjectId === subjectId)
    ?.points.find((each) => each.point === point);
  if (found) return found;
  const ids = subjects.map((subject) => subject.subjectId).join(', ');
  throw new Refusal(
    'invalid',
    'no-such-subject',
    `"${subjectId}" is no patient's specimen or slide in this run; it has ${ids || 'none'}.`,
  );
}

/** Held while a stop is unsettled or a caution is not acknowledged. */
export function verdictOf(findings: readonly Finding[]): Verdict {
  return findings.some(({ weight, settled }) => weight !== 'note' && !settled) ? 'held' : 'clear';
}

function runFindings(facts: RunFacts, state: RunState, point: ReleasePoint): Finding[] {
  const last = facts.protocol.steps.findIndex(({ id }) => id === point.after);
  return [
    ...reachedFindings(state, last),
    ...standingFindings(facts, state),
    ...stepFindings(state, last, facts.driftPpm),
    ...containerFindings(state, last, {
      containers: facts.containers,
      reagents: facts.reagents,
      forPatients: facts.purpose === 'patients',
      policy: facts.policy,
    }),
    ...(facts.purpose === 'patients' ? cytologyFindings(facts, state, last) : []),
    ...controlFindings(facts, state),
    ...(facts.purpose === 'patients' ? failureFindings(facts, state) : []),
    ...(facts.purpose === 'patients' ? peopleFindings(facts, state, last) : []),
    ...instrumentFindings(facts.instruments, state, last),
    ...(facts.purpose === 'patients' ? deviceFindings(facts, state, last) : []),
    ...passFindings(state),
    ...lateFindings(state),
  ];
}

function reachedFindings(state: RunState, last: number): Finding[] {
  const step = state.steps[last];
  if (step && step.performances.some(({ ended }) => ended)) return [];
  const action = step?.step.action ?? 'The last step';
  return [finding('point-not-reached', { about: 'run', what: `${action} is not over.`, against: action })];
}

function standingFindings(facts: RunFacts, state: RunState): Finding[] {
  const findings: Finding[] = [];
  if (state.abandoned) {
    const { at, reason } = state.abandoned;
    findings.push(finding('run-abandoned', { about: 'run', at, what: `The run was abandoned: ${reason}` }));
  }
  if (facts.purpose !== 'patients') {
    findings.push(finding('not-for-patients', { about: 'run', what: `The run was started for ${facts.purpose}.` }));
  }
  if (!facts.revision.inForce) {
    findings.push(
      finding('revision-not-in-force', {
        about: 'run',
        at: facts.startedAt,
        what: `Revision ${facts.revision.number} of ${facts.protocol.title} was not in force when the run started.`,
        measured: facts.startedAt,
      }),
    );
  }
  return findings;
}

function subjectFindings({ id, label, irreplaceable }: GateSubject, state: RunState): Finding[] {
  const findings: Finding[] = [];
  const confirmed = eventsOf(state.events, 'identity-confirmed').some(({ data }) => data.subject === id);
  const attested = eventsOf(state.events, 'attested').findLast(({ data }) => data.subject === id);
  if (!confirmed && irreplaceable && attested) {
    findings.push(
      finding('identity-attested', {
        about: id,
        subjectId: id,
        at: attested.stamp.at,
        what: `The identity of ${label} rests on the word of its collector, ${attested.data.signature.name}.`,
        measured: attested.data.statement,
      }),
    );
  } else if (!confirmed) {
    findings.push(
      finding('identity-unconfirmed', {
        about: id,
        subjectId: id,
        what: `Nobody confirmed the identity of ${label} in this run.`,
      }),
    );
  }
  const spoiled = eventsOf(state.events, 'subject-spoiled').find(({ data }) => data.subject === id);
  if (spoiled) {
    findings.push(
      finding('subject-spoiled', {
        about: id,
        subjectId: id,
        at: spoiled.stamp.at,
        what: `${label} was spoiled: ${spoiled.data.what}`,
      }),
    );
  }
  return findings;
}

/** What was entered by badge and PIN without a network: who that was is known less surely than from a session. */
function passFindings(state: RunState): Finding[] {
  const passed = state.events.filter(({ stamp }) => stamp.pass);
  if (passed.length === 0) return [];
  const were = passed.length === 1 ? 'entry was' : 'entries were';
  return [
    finding('under-day-pass', {
      about: 'run',
      at: passed[0]?.stamp.at ?? null,
      what: `${passed.length} ${were} made without a network under a day pass, which a badge and a PIN open.`,
    }),
  ];
}

function lateFindings(state: RunState): Finding[] {
  const late = state.events.filter(({ stamp }) => stamp.late);
  if (late.length === 0) return [];
  return [
    finding('entered-late', {
      about: 'run',
      at: late[0]?.stamp.at ?? null,
      what: `${counted(late.length, 'event was', 'events were')} entered or corrected afterwards.`,
    }),
  ];
}

/** Cautions are settled by whoever acknowledged them, undecided findings by who resolved them in favour. */
function settler(state: RunState): (found: Finding) => Finding {
  const acknowledged = new Set(eventsOf(state.events, 'acknowledged').map(({ data }) => data.finding));
  const resolved = new Map(
    eventsOf(state.events, 'resolved').map((event): [string, EventOf<'resolved'>] => [event.data.finding, event]),
  );
  /** A step done again after its doubt was resolved raises a doubt of its own. */
  const seen = (found: Finding, resolution: EventOf<'resolved'>): boolean =>
    !state.events.some(
      ({ seq, data }) => seq > resolution.seq && 'step' in data && found.id === `${found.rule}:${String(data.step)}`,
    );
  return (found) => {
    const resolution = found.rule.endsWith('-undecided') ? resolved.get(found.id) : undefined;
    const decided = resolution?.data.conforms === true && seen(found, resolution);
    return { ...found, settled: decided || (found.weight === 'caution' && acknowledged.has(found.id)) };
  };
}

const WEIGHT_ORDER = { stop: 0, caution: 1, note: 2 };
const RULE_ORDER = Object.keys(RULES);

function byWeight(a: Finding, b: Finding): number {
  return WEIGHT_ORDER[a.weight] - WEIGHT_ORDER[b.weight] || RULE_ORDER.indexOf(a.rule) - RULE_ORDER.indexOf(b.rule);
}
