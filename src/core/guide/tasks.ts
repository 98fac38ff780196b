import type { Role } from '../people/roles.js';

/** The act with which the set-up of the invented laboratory ends; it was done in the names of its people. */
export const FURNISHED = 'laboratory.furnished';

/** What makes a laboratory ready for its first patient; told by what is there, whoever did it. */
export const READINESS = ['people', 'places', 'protocol', 'stock', 'calendar', 'controls', 'run'] as const;
export type Readiness = (typeof READINESS)[number];

/** What tells that a task is done; none of it is a tick that somebody sets. */
export type Told =
  /** The person did one of these, by their names in the record. */
  | { acts: readonly string[] }
  /** The person, a reviewer, looked at a record of this kind. */
  | { looked: string }
  /** The page was opened, by its address with `:name` for what changes; the device alone knows. */
  | { visits: string }
  | { ready: Readiness };

export interface Task {
  id: string;
  /** Where it is done. */
  path: string;
  told: Told;
}

/** The role whose first hour it is, or the first steps of a laboratory. */
export type GuideId = Role | 'first-steps';

export interface Guide {
  id: GuideId;
  tasks: readonly Task[];
}

/** The first hour of each of the invented laboratory's people, in the order in which one thing leads to the next. */
const FIRST_HOURS: Record<Role, readonly Task[]> = {
  technician: [
    { id: 'start-run', path: '/runs/new', told: { acts: ['run.started'] } },
    { id: 'set-tray', path: '/', told: { acts: ['run.tray-scanned'] } },
    { id: 'end-step', path: '/', told: { acts: ['run.step-ended'] } },
    { id: 'take-back', path: '/', told: { acts: ['run.corrected'] } },
    { id: 'read-control', path: '/', told: { acts: ['run.control-read'] } },
    { id: 'see-plan', path: '/plan', told: { visits: '/plan' } },
  ],
  releaser: [
    { id: 'read-findings', path: '/release', told: { visits: '/release/:run' } },
    { id: 'release', path: '/release', told: { acts: ['run.released'] } },
    { id: 'hold-back', path: '/release', told: { acts: ['run.result-held'] } },
    {
      id: 'second-look',
      path: '/release/second-looks',
      told: { acts: ['run.release-upheld', 'run.release-amended', 'run.release-withdrawn'] },
    },
    { id: 'read-control', path: '/', told: { acts: ['run.control-read'] } },
  ],
  manager: [
    { id: 'receive-lot', path: '/stock/receive', told: { acts: ['lot.received', 'order.received'] } },
    { id: 'accept-lot', path: '/stock', told: { acts: ['lot.decided'] } },
    { id: 'see-outlook', path: '/stock/outlook', told: { visits: '/stock/outlook/:reagent' } },
    { id: 'draft-order', path: '/stock/outlook', told: { acts: ['order.drafted'] } },
    { id: 'count-stock', path: '/stock/counts', told: { acts: ['stock.counted'] } },
    { id: 'trace-lot', path: '/stock/trace', told: { visits: '/stock/trace' } },
  ],
  director: [
    { id: 'sign-plan', path: '/controls/plans', told: { acts: ['control-plan.approved'] } },
    { id: 'read-protocol', path: '/protocols', told: { visits: '/protocols/:revision' } },
    { id: 'assess-person', path: '/people/competence', told: { acts: ['competence.decided'] } },
    { id: 'tighten-rule', path: '/quality/rules', told: { acts: ['policy.signed'] } },
    { id: 'read-month', path: '/quality/month', told: { visits: '/quality/month' } },
  ],
  reviewer: [
    { id: 'ask-record', path: '/record/ask', told: { looked: 'question' } },
    { id: 'pull-run', path: '/record/ask', told: { looked: 'run' } },
    { id: 'requirement', path: '/record/requirements', told: { visits: '/record/requirements/:requirement' } },
    { id: 'draw-sample', path: '/record/sample', told: { acts: ['record.sampled'] } },
    { id: 'take-pack', path: '/record/packs', told: { acts: ['pack.asked'] } },
  ],
  administrator: [
    { id: 'add-person', path: '/people', told: { acts: ['person.added'] } },
    { id: 'give-badge', path: '/people', told: { acts: ['person.badge-given'] } },
    { id: 'add-device', path: '/people', told: { acts: ['device.added'] } },
    { id: 'connect', path: '/people/connections', told: { visits: '/people/connections' } },
    { id: 'see-entries', path: '/record', told: { visits: '/record' } },
  ],
};

const READY_PATHS: Record<Readiness, string> = {
  people: '/people',
  places: '/stock/places',
  protocol: '/protocols',
  stock: '/stock/receive',
  calendar: '/controls',
  controls: '/controls/plans',
  run: '/runs/new',
};

const FIRST_STEPS: Guide = {
  id: 'first-steps',
  tasks: READINESS.map((ready) => ({ id: ready, path: READY_PATHS[ready], told: { ready } })),
};

/** Of several roles the one whose work is told; the bench is learnt beside it. */
const LEADING: readonly Role[] = ['reviewer', 'director', 'manager', 'administrator', 'releaser', 'technician'];

/**
 * What somebody is led through: in the invented laboratory the first hour of their leading role, elsewhere the first steps
 * of a laboratory for whoever sets it up; null for everybody else. `guideFor(['manager', 'technician'], true)?.id` is
 * 'manager'.
 */
export function guideFor(roles: readonly Role[], demo: boolean): Guide | null {
  if (!demo) return roles.some((role) => role === 'administrator' || role === 'director') ? FIRST_STEPS : null;
  const leading = LEADING.find((role) => roles.includes(role));
  return leading === undefined ? null : { id: leading, tasks: FIRST_HOURS[leading] };
}

/** What a person did and what a laboratory has, as far as guides ask. */
export interface Seen {
  acts: ReadonlySet<string>;
  looked: ReadonlySet<string>;
  ready: ReadonlySet<Readiness>;
}

/**
 * The ids of the tasks that what happened tells to be done, in their order; what only a device knows is not among them.
 * With 'run.released' among a releaser's acts it is `['release']`.
 */
export function doneOf({ tasks }: Guide, { acts, looked, ready }: Seen): string[] {
  const isDone = (told: Told): boolean => {
    if ('acts' in told) return told.acts.some((act) => acts.has(act));
    if ('looked' in told) return looked.has(told.looked);
    return 'ready' in told && ready.has(told.ready);
  };
  return tasks.filter(({ told }) => isDone(told)).map(({ id }) => id);
}
