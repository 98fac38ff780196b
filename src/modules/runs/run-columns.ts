import type { RunSummaryDto } from '../../contract/run-view.dto.js';
import type { Columns } from '../http/csv-file.js';

export type LabelledRun = RunSummaryDto & { labels: readonly string[] };

/** What a file tells of each run. */
export const RUN_COLUMNS: Columns<LabelledRun> = {
  id: ({ id }) => id,
  started: ({ startedAt }) => startedAt,
  protocol: ({ title }) => title,
  revision: ({ revisionNumber }) => revisionNumber,
  station: ({ station }) => station,
  purpose: ({ purpose }) => purpose,
  'specimens and slides': ({ labels }) => labels.join('; '),
  'on the bench': ({ onBench }) => onBench,
};
