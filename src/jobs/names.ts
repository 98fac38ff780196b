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
} as const;

/** What stands before an installation's keys in Redis: the same in all of its processes. */
export function queuePrefix(laboratoryId: string): string {
  return `stainwright:${laboratoryId}`;
}
