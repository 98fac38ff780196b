import type { StreamableFile } from '@nestjs/common';
import { pathBack, pathWords } from '../../core/trace/trace.js';
import { tracedLots } from '../../store/questions/trace/lots.js';
import { reachOf } from '../../store/questions/trace/reach.js';
import { tracedRunIds, tracedRuns } from '../../store/questions/trace/runs.js';
import type { Store } from '../../store/store.js';
import { csvFile } from '../http/csv-file.js';

/** As many as one query may well name. */
const AT_A_TIME = 1000;
const COLUMNS = [
  'run',
  'started',
  'protocol',
  'station',
  'purpose',
  'through',
  'specimen or slide',
  'kind',
  'description',
  'released',
  'release point',
  'what was released',
  'released by',
];

/** Every run that lots reach, one line for each patient's specimen or slide and release, as CSV. */
export function runsCsv(
  store: Store,
  laboratoryId: string,
  roots: readonly string[],
  name: string,
): Promise<StreamableFile> {
  return csvFile(name, COLUMNS, linesOf(store, laboratoryId, roots));
}

async function* linesOf(store: Store, laboratoryId: string, roots: readonly string[]): AsyncGenerator<string[][]> {
  const { reach, lots, ids } = await store.read(laboratoryId, async (view) => {
    const reach = await reachOf(view, roots);
    return { reach, lots: await tracedLots(view, reach), ids: await tracedRunIds(view, reach) };
  });
  for (let from = 0; from < ids.length; from += AT_A_TIME) {
    const part = ids.slice(from, from + AT_A_TIME);
    const lines: string[][] = [];
    for (const run of await store.read(laboratoryId, (view) => tracedRuns(view, reach, part))) {
      const through = run.containerIds.map((id) => pathWords(lots, pathBack(lots, roots, id) ?? [])).join('; ');
      const ofRun = [run.id, run.startedAt, run.title, run.station, run.purpose, through];
      const patients = run.subjects.filter(({ role }) => role === 'patient');
      if (patients.length === 0) lines.push([...ofRun, '', '', '', '', '', '', '']);
      for (const { label, kind, description, releases } of patients) {
        const ofSubject = [...ofRun, label, kind, description];
        if (releases.length === 0) lines.push([...ofSubject, '', '', '', '']);
        for (const each of releases) lines.push([...ofSubject, each.at, each.point, each.kind, each.name]);
      }
    }
    yield lines;
  }
}
