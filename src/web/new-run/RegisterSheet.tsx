import { useState } from 'react';
import { Form } from 'react-aria-components';
import { CYTOLOGY, type Cytology } from '../../core/specimen/cytology.js';
import { api, got, once, Problem } from '../api.js';
import type { Identifier, NewSubject, Subject } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Tick } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { asLocal } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { benchClock } from '../parts/ticker.js';
import { TimeField } from '../parts/TimeField.js';
import { WORDS } from '../words.js';
import { NEW_RUN as words } from './words.js';

const IDENTIFIERS: readonly Identifier['kind'][] = ['patient number', 'patient name', 'birth date'];

interface Draft {
  label: string;
  description: string;
  parent: string;
  /** As a date field holds it; empty for not known. */
  taken: string;
  irreplaceable: boolean;
  cytology: Cytology | 'none';
  /** Whether a test with windows for the tissue is planned. */
  tested: boolean;
  identifiers: Readonly<Record<Identifier['kind'], string>>;
}

/** Registers a specimen, slide or piece of control material. */
export function RegisterSheet({
  kind,
  irreplaceable,
  description,
  onDone,
  onClose,
}: {
  kind: Subject['kind'];
  irreplaceable: boolean;
  description: string;
  onDone: (subject: Subject) => void;
  onClose: () => void;
}) {
  const [draft, setDraft] = useState<Draft>({
    label: '',
    description,
    parent: '',
    taken: '',
    irreplaceable,
    cytology: 'none',
    tested: false,
    identifiers: { 'patient number': '', 'patient name': '', 'birth date': '' },
  });
  const change = (part: Partial<Draft>): void => setDraft({ ...draft, ...part });
  const register = useChange(
    async (given: Draft, key) => {
      const body = await subjectOf(kind, given);
      return got(api.POST('/api/subjects', { body, ...once(key) }));
    },
    (subject) => {
      if (draft.label.trim() === '') say(words.made(subject.label));
      onDone(subject);
      onClose();
    },
  );
  const patient = kind !== 'control';
  return (
    <Sheet title={words.registerTitle[kind]} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          register.ask(draft);
        }}
      >
        <Field
          label={words.description}
          help={patient ? words.descriptionHelp : undefined}
          value={draft.description}
          onChange={(text) => change({ description: text })}
          maxLength={300}
          takesFocus
          isRequired
        />
        <Field
          label={words.label}
          help={words.labelHelp}
          value={draft.label}
          onChange={(label) => change({ label })}
          maxLength={60}
          spellCheck="false"
        />
        {kind === 'slide' && (
          <Field label={words.parent} value={draft.parent} onChange={(parent) => change({ parent })} maxLength={60} />
        )}
        {kind === 'specimen' && (
          <div className="taken">
            <TimeField label={words.taken} value={draft.taken} onChange={(taken) => change({ taken })} />
            <Button onPress={() => change({ taken: asLocal(benchClock.now().at) })}>{words.takenNow}</Button>
          </div>
        )}
        {patient && (
          <>
            <fieldset className="whose">
              <legend>{words.whose}</legend>
              <p className="field-help">{words.whoseHelp}</p>
              {IDENTIFIERS.map((each) => (
                <Field
                  key={each}
                  label={words.identifiers[each]}
                  value={draft.identifiers[each]}
                  onChange={(value) => change({ identifiers: { ...draft.identifiers, [each]: value } })}
                  maxLength={200}
                  autoComplete="off"
                />
              ))}
            </fieldset>
            <SelectField
              label={words.cytology}
              help={words.cytologyHelp}
              value={draft.cytology}
              onChange={(cytology) => change({ cytology })}
              options={(['none', ...CYTOLOGY] as const).map((id) => ({ id, name: words.cytologies[id] }))}
            />
            <Tick on={draft.tested} onChange={(tested) => change({ tested })}>
              {words.tissueTest}
            </Tick>
            <Tick on={draft.irreplaceable} onChange={(on) => change({ irreplaceable: on })}>
              {words.irreplaceable}
            </Tick>
          </>
        )}
        <ProblemNote problem={register.error} />
        <Button look="main" type="submit" isDisabled={register.isPending || draft.description.trim() === ''}>
          {register.isPending ? WORDS.sending : words.registerAction}
        </Button>
      </Form>
    </Sheet>
  );
}

async function subjectOf(kind: Subject['kind'], draft: Draft): Promise<NewSubject> {
  const { label, description, parent, taken, irreplaceable, cytology, tested, identifiers } = draft;
  const known = IDENTIFIERS.map((each) => ({ kind: each, value: identifiers[each].trim() })).filter(
    ({ value }) => value !== '',
  );
  return {
    kind,
    description: description.trim(),
    irreplaceable,
    ...(cytology !== 'none' && { cytology }),
    ...(tested && { tissueTest: 'breast receptors' }),
    ...(label.trim() !== '' && { label: label.trim() }),
    ...(taken !== '' && { takenAt: new Date(taken).toISOString() }),
    ...(parent.trim() !== '' && { parentId: await specimenOf(parent.trim()) }),
    ...(known.length > 0 && { identifiers: known }),
  };
}

async function specimenOf(label: string): Promise<string> {
  const { items } = await got(api.GET('/api/subjects', { params: { query: { label } } }));
  const [found] = items;
  if (!found) throw new Problem(422, 'no-such-specimen', words.parent, words.unknownParent(label));
  return found.id;
}
