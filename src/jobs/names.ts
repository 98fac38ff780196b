/** Names of the jobs, as their rows carry them. */
export const JOB_NAMES = {
  /** Target: the run event that started the step. Due when the step's longest time is over. */
  stepOver: 'step-over',
  /** Target: the run. Due when its controls should have been read. */
  controlUnread: 'control-unread',
  /** Target: the laboratory. Due each night. */
  recordCheck: 'record-check',
} as const;
