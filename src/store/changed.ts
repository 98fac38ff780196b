/** What was committed, for the live feed and the job runner. */
export interface Changed {
  laboratoryId: string;
  /** Number of the act's entry; for housekeeping, which has none, that of the last entry before it. */
  seq: number;
  act: string;
  subject: { kind: string; id: string };
  /** True when the act queued at least one job. */
  jobs: boolean;
}
