import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useRef, useState } from 'react';
import { Form } from 'react-aria-components';
import { api, got, once } from '../api.js';
import type { Picture, Study } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { typedNumber } from '../parts/typed-number.js';
import { WORDS } from '../words.js';
import { NO_RUN, RunField } from './RunField.js';
import { figures } from '../parts/numbers.js';
import { STUDIES } from './words.js';

const words = STUDIES.page;

interface NewPair {
  material: string;
  old?: number;
  new?: number;
  oldPictureId?: string;
  newPictureId?: string;
  oldRunId?: string;
  newRunId?: string;
}

/** One pair after the other, by keyboard and scanner alone: typed values, grades, or pictures that were measured. */
export function PairForm({ study }: { study: Study }) {
  const queries = useQueryClient();
  const form = useRef<HTMLDivElement>(null);
  const { categories, metric, lot, oldLot } = study;
  const [material, setMaterial] = useState('');
  const [old, setOld] = useState('');
  const [fresh, setFresh] = useState('');
  const [oldRun, setOldRun] = useState(NO_RUN);
  const [newRun, setNewRun] = useState(NO_RUN);
  const pictures = useMeasured(metric);
  const send = useChange(
    (pair: NewPair, key) =>
      got(
        api.POST('/api/studies/{id}/pairs', {
          params: { path: { id: study.id } },
          body: { pairs: [pair] },
          ...once(key),
        }),
      ),
    async (_study, pair) => {
      say(words.added(pair.material));
      setMaterial('');
      setOld('');
      setFresh('');
      form.current?.querySelector('input')?.focus();
      await queries.invalidateQueries({ queryKey: ['studies'] });
    },
  );
  const isPicture = (text: string) => pictures.some(({ id }) => id === text);
  const given = (text: string) => isPicture(text) || !Number.isNaN(typedNumber(text));
  const whole = material.trim() !== '' && given(old) && given(fresh);
  const value = (label: string, text: string, onChange: (text: string) => void) => {
    if (categories) {
      const options = categories.map((name, id) => ({ id: String(id), name }));
      return (
        <SelectField label={label} value={text} onChange={onChange} options={options} empty={STUDIES.sheet.pick} />
      );
    }
    if (metric !== null && pictures.length > 0) {
      const options = pictures.map((picture) => ({
        id: picture.id,
        name: `${figures(picture.metrics?.[metric] ?? 0)}, ${picture.file.name}`,
      }));
      return (
        <SelectField
          label={words.fromPicture(label)}
          value={text}
          onChange={onChange}
          options={options}
          empty={STUDIES.sheet.pick}
        />
      );
    }
    return <Field label={label} value={text} onChange={onChange} inputMode="decimal" autoComplete="off" />;
  };
  return (
    <div ref={form}>
      <Form
        className="pair-form"
        onSubmit={(event) => {
          event.preventDefault();
          if (!whole) return;
          send.ask({
            material: material.trim(),
            ...(isPicture(old) ? { oldPictureId: old } : { old: typedNumber(old) }),
            ...(isPicture(fresh) ? { newPictureId: fresh } : { new: typedNumber(fresh) }),
            ...(oldRun !== NO_RUN && { oldRunId: oldRun }),
            ...(newRun !== NO_RUN && { newRunId: newRun }),
          });
        }}
      >
        <Field
          label={words.material}
          help={words.materialHelp}
          value={material}
          onChange={setMaterial}
          autoComplete="off"
          spellCheck="false"
        />
        {value(words.old(oldLot.number), old, setOld)}
        {value(words.fresh(lot.number), fresh, setFresh)}
        <Button type="submit" isDisabled={!whole || send.isPending}>
          {send.isPending ? WORDS.sending : words.add}
        </Button>
      </Form>
      <ProblemNote problem={send.error} />
      <details className="pair-runs">
        <summary>{STUDIES.runs.title}</summary>
        <p className="small">{STUDIES.runs.about}</p>
        <RunField label={STUDIES.runs.old(oldLot.number)} runId={oldRun} onChange={setOldRun} />
        <RunField label={STUDIES.runs.fresh(lot.number)} runId={newRun} onChange={setNewRun} />
      </details>
    </div>
  );
}

/** The last pictures that were measured for a metric; none when the study is on no metric. */
function useMeasured(metric: string | null): Picture[] {
  const { data } = useQuery({
    queryKey: ['pictures', 'measured'],
    queryFn: () => got(api.GET('/api/pictures', { params: { query: { take: 200 } } })),
    enabled: metric !== null,
  });
  return data?.items.filter(({ metrics }) => metric !== null && typeof metrics?.[metric] === 'number') ?? [];
}
