import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { api, got, once, Problem } from '../api.js';
import type { paths } from '../api.paths.js';
import { useSession } from '../app/session.js';
import { useChange } from '../parts/change.js';
import { ScanField } from '../parts/ScanField.js';
import { SelectField } from '../parts/SelectField.js';
import { STUDIES } from './words.js';

const words = STUDIES.runs;

/** How many of the newest runs are listed; an older one is found by a label. */
const LATEST = 50;

/** Chosen instead of a run. */
export const NO_RUN = '-';

type Run = Pick<
  paths['/api/runs']['get']['responses'][200]['content']['application/json']['items'][number],
  'id' | 'title' | 'startedAt' | 'station' | 'purpose'
>;

/** The run in which slides of a comparison were stained: chosen from the newest, or found by the label of what was in it. */
export function RunField({
  label,
  runId,
  onChange,
}: {
  label: string;
  runId: string;
  onChange: (runId: string) => void;
}) {
  const { format } = useSession();
  const [scanned, setScanned] = useState<Run | null>(null);
  const [fault, setFault] = useState<string | undefined>();
  const latest = useQuery({
    queryKey: ['runs', 'latest', LATEST],
    queryFn: () => got(api.GET('/api/runs', { params: { query: { take: LATEST } } })),
  });
  const find = useChange(
    async (text: string, key): Promise<Run | string> => {
      const { subject, message } = await got(api.POST('/api/scan', { body: { text }, ...once(key) }));
      if (!subject) return message;
      const { runs } = await got(api.GET('/api/trace/subject/{id}', { params: { path: { id: subject.id } } }));
      const [run] = runs.filter(comparable).sort((a, b) => b.startedAt.localeCompare(a.startedAt));
      return run ?? words.inNone(subject.label);
    },
    (found) => {
      if (typeof found === 'string') return setFault(found);
      setFault(undefined);
      setScanned(found);
      return onChange(found.id);
    },
  );
  const listed = (latest.data?.items ?? []).filter(comparable);
  const runs: Run[] = scanned && !listed.some(({ id }) => id === scanned.id) ? [scanned, ...listed] : listed;
  const problem = find.error instanceof Problem ? find.error.said : find.error?.message;
  return (
    <div className="run-field">
      <SelectField
        label={label}
        value={runId}
        onChange={onChange}
        options={[
          { id: NO_RUN, name: words.none },
          ...runs.map(({ id, title, startedAt, station }) => ({
            id,
            name: `${title}, ${format.dayAndClock(startedAt)}, ${station}`,
          })),
        ]}
      />
      <ScanField
        label={words.scan(label)}
        action={words.find}
        error={fault ?? problem}
        busy={find.isPending}
        onText={(text) => find.ask(text)}
      />
    </div>
  );
}

/** Nothing that is compared comes from a training run. */
function comparable({ purpose }: Pick<Run, 'purpose'>): boolean {
  return purpose !== 'training';
}
