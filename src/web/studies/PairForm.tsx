import { useQueryClient } from '@tanstack/react-query';
import { useRef, useState } from 'react';
import { Form } from 'react-aria-components';
import { api, got, once } from '../api.js';
import type { Study } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { WORDS } from '../words.js';
import { STUDIES } from './words.js';

const words = STUDIES.page;

/** One pair after the other, by keyboard and scanner alone. */
export function PairForm({ study }: { study: Study }) {
  const queries = useQueryClient();
  const form = useRef<HTMLDivElement>(null);
  const { categories, lot, oldLot } = study;
  const [material, setMaterial] = useState('');
  const [old, setOld] = useState('');
  const [fresh, setFresh] = useState('');
  const send = useChange(
    (pair: { material: string; old: number; new: number }, key) =>
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
  const whole =
    material.trim() !== '' && [old, fresh].every((text) => text.trim() !== '' && Number.isFinite(Number(text)));
  const value = (label: string, text: string, onChange: (text: string) => void) =>
    categories ? (
      <SelectField
        label={label}
        value={text}
        onChange={onChange}
        options={categories.map((name, id) => ({ id: String(id), name }))}
        empty={STUDIES.sheet.pick}
      />
    ) : (
      <Field label={label} value={text} onChange={onChange} inputMode="decimal" autoComplete="off" />
    );
  return (
    <div ref={form}>
      <Form
        className="pair-form"
        onSubmit={(event) => {
          event.preventDefault();
          if (whole) send.ask({ material: material.trim(), old: Number(old), new: Number(fresh) });
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
    </div>
  );
}
