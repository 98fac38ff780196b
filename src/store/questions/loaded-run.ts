import type { RunEvent } from '../../core/run/events.js';
import type { RevisionRow } from '../rows/protocols.entity.js';
import type { RunRow, RunSubjectRow } from '../rows/runs.entity.js';

/** A run with what belongs to it, as few queries as it takes. */
export interface LoadedRun {
  run: RunRow;
  revision: RevisionRow;
  subjects: RunSubjectRow[];
  events: RunEvent[];
}
