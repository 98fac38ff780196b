import { CONTROL_RULES, EXCEPTIONS } from '../protocol/check.js';
import type { Path, Problem } from '../protocol/problem.js';
import { CONTROL_TIMES, type ControlRequirement, type Protocol } from '../protocol/protocol.js';
import type { Instant } from '../time/instant.js';
import {
  type ControlPlan,
  LONGEST_SESSION_HOURS,
  type PlannedClock,
  type PlannedControl,
  type PlanTime,
  type UseDefinition,
} from './planned.js';

const EACH_RUN: UseDefinition = { words: 'One run is one use.', counts: 'run' };
const LOT = '42 CFR 493.1256(e)(1)';
const AFTER_CHANGE = '42 CFR 493.1256(d)(6)';
const LOCAL = 'local procedure';

/**
 * The plan that the published rules make of a protocol, which counts while the laboratory approved none of its own, and
 * below which no plan may go: the clock of the category (42 CFR 493.1256(e)(2), (e)(3), 493.1261, 493.1264, 493.1273(a)),
 * and for required positive and negative controls each new lot or shipment (493.1256(e)(1)) and a full change of reagents
 * or a service (493.1256(d)(6)). For Harris H&E the `daily` control gets the clocks 'each day of use', 'each new lot or
 * shipment', 'after a full reagent change' and 'after service of an instrument'.
 */
export function publishedPlan(protocol: Protocol): ControlPlan {
  return {
    protocolId: protocol.id,
    use: EACH_RUN,
    controls: protocol.controls.map((control) => ({
      id: control.id,
      kind: control.kind,
      material: control.material,
      expected: control.expected,
      criteria: [],
      required: control.required,
      clocks: [{ when: control.when, clause: clauseOf(control, protocol) }, ...reagentClocks(control)],
      secondReader: false,
      pictures: false,
    })),
  };
}

function clauseOf({ kind, when, required, sources }: ControlRequirement, { category }: Protocol): string {
  if (!required) return 'advised, no rule asks for it';
  const exception = EXCEPTIONS.find((each) => each.when === when && sources.includes(each.source));
  if (exception) return exception.rule;
  const { kinds, rule } = CONTROL_RULES[category];
  return kinds.includes(kind) ? rule : 'the protocol as the director approved it';
}

function reagentClocks({ kind, required }: ControlRequirement): PlannedClock[] {
  if (!required || (kind !== 'positive' && kind !== 'negative')) return [];
  return [
    { when: 'each new lot or shipment', clause: LOT },
    { when: 'after a full reagent change', clause: AFTER_CHANGE },
    { when: 'after service of an instrument', clause: AFTER_CHANGE },
  ];
}

/**
 * The plan that counts for a protocol: the laboratory's own, with what the published rules and the protocol's required
 * controls ask beyond it, so that a later revision never makes it laxer; without one, the published plan.
 */
export function planFor(protocol: Protocol, own: ControlPlan | null): ControlPlan {
  const floor = publishedPlan(protocol);
  if (own === null) return floor;
  const raised = own.controls.map((control): PlannedControl => {
    const least = floor.controls.find(({ id, required }) => id === control.id && required);
    if (!least) return control;
    return { ...control, required: true, clocks: [...control.clocks, ...missingClocks(control, least)] };
  });
  const added = floor.controls.filter(({ id, required }) => required && !own.controls.some((each) => each.id === id));
  return { ...own, controls: [...raised, ...added] };
}

/**
 * The controls that a run may carry: those of its plan, and what its protocol advises beyond it.
 * `offeredControls(harris, publishedPlan(harris))` is the published plan's controls.
 */
export function offeredControls(protocol: Protocol, plan: ControlPlan): PlannedControl[] {
  const planned = new Set(plan.controls.map(({ id }) => id));
  return [...plan.controls, ...publishedPlan(protocol).controls.filter(({ id }) => !planned.has(id))];
}

/** A plan that was approved, with the record number of its approval. */
export interface ApprovedPlan {
  id: string;
  number: number;
  content: ControlPlan;
  effectiveFrom: Instant;
  /** Record number of the approval. */
  seq: number;
}

/** The plan that is in force at an instant: of those effective by then the one approved last; null when there is none. */
export function planInForce(approved: readonly ApprovedPlan[], at: Instant): ApprovedPlan | null {
  return approved
    .filter(({ effectiveFrom }) => effectiveFrom <= at)
    .reduce<ApprovedPlan | null>((last, each) => (last && last.seq > each.seq ? last : each), null);
}

function missingClocks(control: PlannedControl, least: PlannedControl): PlannedClock[] {
  return least.clocks.filter((floor) => !control.clocks.some((clock) => atLeast(clock, floor)));
}

/** Whether a clock asks at least as often as another: a shorter period of use answers a longer one, nothing else does. */
function atLeast(clock: PlannedClock, floor: PlannedClock): boolean {
  const [own, least] = [clock, floor].map(({ when }) => (CONTROL_TIMES as readonly PlanTime[]).indexOf(when));
  if (own !== undefined && least !== undefined && own >= 0 && least >= 0) return own <= least;
  return clock.when === floor.when;
}

/** A plan with the published clause on each clock that a clause asks for, and 'local procedure' where nobody said why. */
export function withClauses(
  plan: Omit<ControlPlan, 'controls'> & {
    controls: (Omit<PlannedControl, 'clocks'> & { clocks: (Omit<PlannedClock, 'clause'> & { clause?: string })[] })[];
  },
  protocol: Protocol,
): ControlPlan {
  const floor = publishedPlan(protocol);
  return {
    ...plan,
    controls: plan.controls.map((control) => ({
      ...control,
      clocks: control.clocks.map(({ when, n, clause }) => {
        const published = floor.controls
          .find(({ id }) => id === control.id)
          ?.clocks.find((each) => atLeast({ when, clause: '' }, each));
        return { when, ...(n !== undefined && { n }), clause: clause ?? published?.clause ?? LOCAL };
      }),
    })),
  };
}

/**
 * Everything that is wrong with a laboratory's plan for a protocol, empty when it may be approved. A plan may be stricter
 * than the published rules and the approved protocol, never laxer; what is laxer is refused with the clause it offends.
 */
export function checkPlan(plan: ControlPlan, protocol: Protocol): Problem[] {
  const wrongProtocol = plan.protocolId !== protocol.id;
  return [
    ...(wrongProtocol
      ? [problem(['protocolId'], 'other-protocol', `the plan is for ${plan.protocolId}, not for ${protocol.id}`)]
      : []),
    ...checkUse(plan.use, protocol),
    ...plan.controls.flatMap((control, n) => checkControl(control, n, plan, protocol)),
    ...publishedPlan(protocol)
      .controls.filter(({ required }) => required)
      .flatMap((least) => laxer(least, plan)),
  ];
}

function checkUse({ counts, hours }: UseDefinition, { setting, title }: Protocol): Problem[] {
  if (counts !== 'run' && setting !== 'bedside') {
    return [
      problem(
        ['use', 'counts'],
        'use-at-bench',
        `${title} is done in the laboratory, where each run is one use (42 CFR 493.1273(a)); put "run"`,
      ),
    ];
  }
  const fits = hours !== undefined && hours > 0 && hours <= LONGEST_SESSION_HOURS;
  if (counts === 'session' && !fits) {
    return [
      problem(
        ['use', 'hours'],
        'session-hours',
        `say how long a session lasts: more than 0 and at most ${LONGEST_SESSION_HOURS} hours, since a control never counts for the whole day (42 CFR 493.1273(a))`,
      ),
    ];
  }
  if (counts !== 'session' && hours !== undefined) {
    return [problem(['use', 'hours'], 'session-hours', `only a session lasts hours; leave them out for "${counts}"`)];
  }
  return [];
}

function checkControl(control: PlannedControl, n: number, plan: ControlPlan, protocol: Protocol): Problem[] {
  const at = ['controls', n] as const;
  const twice = plan.controls.findIndex(({ id }) => id === control.id) !== n;
  const known = protocol.controls.find(({ id }) => id === control.id);
  return [
    ...(twice ? [problem([...at, 'id'], 'duplicate', `"${control.id}" stands twice; give each its own id`)] : []),
    ...(known && known.kind !== control.kind
      ? [
          problem(
            [...at, 'kind'],
            'other-kind',
            `the protocol's control "${control.id}" is ${known.kind}; keep its kind, or give yours an id of its own`,
          ),
        ]
      : []),
    ...(control.clocks.length === 0
      ? [problem([...at, 'clocks'], 'no-clock', `"${control.id}" would never be due; give it a clock`)]
      : []),
    ...control.clocks.flatMap((clock, k) => checkClock(clock, [...at, 'clocks', k], control.clocks.slice(0, k))),
    ...control.criteria.flatMap(({ code, grades, least }, k) => {
      const path = [...at, 'criteria', k];
      if (control.criteria.findIndex((other) => other.code === code) !== k) {
        return [problem([...path, 'code'], 'duplicate', `the criterion "${code}" stands twice; keep one`)];
      }
      if ((grades === null) !== (least === null)) {
        const message = `"${code}" needs both its grades and the least that passes, or neither for pass or fail`;
        return [problem(path, 'half-graded', message)];
      }
      if (grades === null || grades.every((words) => words.trim() !== '')) return [];
      return [problem([...path, 'grades'], 'grade-blank', `say in words what each grade of "${code}" means`)];
    }),
  ];
}

function checkClock({ when, n }: PlannedClock, path: Path, before: readonly PlannedClock[]): Problem[] {
  const counts = when === 'every n slides' || when === 'every n days';
  if (before.some((other) => other.when === when)) {
    return [problem([...path, 'when'], 'duplicate', `the clock "${when}" stands twice on one control; keep one`)];
  }
  if (counts && !(n !== undefined && Number.isInteger(n) && n >= 1 && n <= 10_000)) {
    return [problem([...path, 'n'], 'no-number', `"${when}" needs n, a whole number from 1 to 10000`)];
  }
  if (!counts && n !== undefined) return [problem([...path, 'n'], 'number', `"${when}" counts nothing; leave n out`)];
  return [];
}

/** What of one published control a plan leaves out. */
function laxer(least: PlannedControl, plan: ControlPlan): Problem[] {
  const at = plan.controls.findIndex(({ id }) => id === least.id);
  const own = plan.controls[at];
  if (!own) {
    const asked = least.clocks.map((clock) => `${clock.when} (${clock.clause})`).join(', ');
    const message = `the ${least.kind} control "${least.id}" is left out; it is asked for ${asked}`;
    return [problem(['controls'], 'laxer', message)];
  }
  const optional = own.required
    ? []
    : [
        problem(
          ['controls', at, 'required'],
          'laxer',
          `the ${least.kind} control "${least.id}" must be required (${least.clocks[0]?.clause ?? ''})`,
        ),
      ];
  return [
    ...optional,
    ...missingClocks(own, least).map(({ when, clause }) =>
      problem(
        ['controls', at, 'clocks'],
        'laxer',
        `the ${least.kind} control "${least.id}" is due ${when} by ${clause}; a plan may be stricter, never laxer: add that clock`,
      ),
    ),
  ];
}

function problem(path: Path, code: string, message: string): Problem {
  return { path, code, message };
}
