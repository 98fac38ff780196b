import { MAIL_JOB } from '../store/acts/queue-mail.js';
import { MEASURE_JOB } from '../store/acts/take-picture.js';
import { RECALL_JOB } from '../store/acts/recall-lot.js';

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
  /** Target: a message of the outbox. Due at once. */
  mail: MAIL_JOB,
  /** Target: the picture. Due at once. */
  measurePicture: MEASURE_JOB,
} as const;

/** What stands before an installation's keys in Redis: the same in all of its processes. */
export function queuePrefix(laboratoryId: string): string {
  return `stainwright:${laboratoryId}`;
}
