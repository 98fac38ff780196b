import { WEBHOOK_JOB } from '../store/acts/announce.js';
import { MAIL_JOB } from '../store/acts/queue-mail.js';
import { MEASURE_JOB } from '../store/acts/take-picture.js';
import { PACK_JOB } from '../store/packs/acts.js';
import { RECALL_JOB } from '../store/acts/recall-lot.js';
import { SECOND_LOOK_JOB } from '../store/acts/question-releases.js';

/** Names of the jobs, as their rows carry them. */
export const JOB_NAMES = {
  /** Target: the run event that started the step. Due when the step's longest time is over. */
  stepOver: 'step-over',
  /** Target: the run. Due when its controls should have been read. */
  controlUnread: 'control-unread',
  /** Target: the laboratory. Due each night. */
  recordCheck: 'record-check',
  /** Target: the laboratory. Due each hour. */
  checkpoint: 'checkpoint',
  /** Target: the laboratory. Due each quarter of an hour. */
  controlTasks: 'control-tasks',
  /** Target: the laboratory. Due each hour. */
  alerts: 'alerts',
  /** Target: the recall. Due at once. */
  recallTouched: RECALL_JOB,
  /** Target: the second look. Due at once. */
  secondLook: SECOND_LOOK_JOB,
  /** Target: a message of the outbox. Due at once. */
  mail: MAIL_JOB,
  /** Target: a message to an endpoint. Due at once. */
  webhook: WEBHOOK_JOB,
  /** Target: the picture. Due at once. */
  measurePicture: MEASURE_JOB,
  /** Target: the evidence pack. Due at once, or when it has its turn. */
  makePack: PACK_JOB,
} as const;

/** Jobs that wait for a program outside, which is not to be asked too much at once. */
const OUTWARD: readonly string[] = [JOB_NAMES.mail, JOB_NAMES.webhook];

/** Jobs that may keep a processor busy for seconds. */
const LONG: readonly string[] = [
  JOB_NAMES.recordCheck,
  JOB_NAMES.controlTasks,
  JOB_NAMES.recallTouched,
  JOB_NAMES.secondLook,
  JOB_NAMES.measurePicture,
  JOB_NAMES.makePack,
];

/** Each kind of job has hands of its own, so that none waits behind another kind. */
export const JOB_KINDS = ['quick', 'outward', 'long'] as const;
export type JobKind = (typeof JOB_KINDS)[number];

/** The kind of a job by its name; one that this version does not know is quick to give up. */
export function kindOf(name: string): JobKind {
  if (OUTWARD.includes(name)) return 'outward';
  return LONG.includes(name) ? 'long' : 'quick';
}

/** The names of jobs of a kind; of quick ones those that they do not have. */
export function namesOf(kind: JobKind): { names: readonly string[]; among: boolean } {
  if (kind === 'quick') return { names: [...OUTWARD, ...LONG], among: false };
  return { names: kind === 'outward' ? OUTWARD : LONG, among: true };
}

/** What stands before an installation's keys in Redis: the same in all of its processes. */
export function queuePrefix(laboratoryId: string): string {
  return `stainwright:${laboratoryId}`;
}
