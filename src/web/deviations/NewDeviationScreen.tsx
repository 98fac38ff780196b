import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form, Link } from 'react-aria-components';
import { DEVIATION_SUBJECTS, RESULT_EFFECTS, type ResultEffect } from '../../core/deviations/deviation.js';
import { api, got, once } from '../api.js';
import { navigate, useParam } from '../app/router.js';
import { useSession } from '../app/session.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { Page, Part, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { WORDS } from '../words.js';
import './deviations.css';
import { DeviationLine } from './parts.js';
import { type DeviationMatter, DEVIATIONS_KEY, type OpenFrom, useMatter } from './queries.js';
import { DEVIATIONS } from './words.js';

const words = DEVIATIONS.fresh;
const above = { href: '/deviations', word: DEVIATIONS.title };

/** Opens a deviation from what the address names, or one that is described. */
export default function NewDeviationScreen() {
  const [named] = useParam('subject');
  const [subjectId] = useParam('subjectId');
  const [findingId] = useParam('findingId');
  const subject = DEVIATION_SUBJECTS.find((each) => each === named) ?? 'described';
  return (
    <Page title={words.title} above={above} about={<p>{words.about}</p>}>
      {subject === 'described' || subjectId === null ? (
        <OpenForm from={{ subject: 'described' }} matter={null} />
      ) : (
        <About from={{ subject, subjectId, ...(findingId !== null && { findingId }) }} />
      )}
      <p className="small">{DEVIATIONS.caution}</p>
    </Page>
  );
}

function About({ from }: { from: OpenFrom }) {
  const { format } = useSession();
  const { data: matter, error, refetch } = useMatter(from);
  if (!matter) return <Waiting error={error} onRetry={() => void refetch()} />;
  return (
    <>
      <Part title={words.from}>
        <p>
          <Link href={matter.path}>{format.within(matter.about)}</Link>
        </p>
      </Part>
      {matter.known.length > 0 && (
        <Part title={words.known}>
          <ul className="lines">
            {matter.known.map((deviation) => (
              <li key={deviation.id}>
                <DeviationLine deviation={deviation} />
              </li>
            ))}
          </ul>
        </Part>
      )}
      {matter.known.every(({ state }) => state === 'closed') && <OpenForm from={from} matter={matter} />}
    </>
  );
}

function OpenForm({ from, matter }: { from: OpenFrom; matter: DeviationMatter | null }) {
  const queries = useQueryClient();
  const { format } = useSession();
  const [title, setTitle] = useState(matter?.title ?? '');
  const [what, setWhat] = useState(matter ? format.within(matter.about) : '');
  const [effect, setEffect] = useState<ResultEffect | null>(null);
  const [correction, setCorrection] = useState('');
  const send = useChange(
    (chosen: ResultEffect, key) =>
      got(
        api.POST('/api/deviations', {
          body: {
            ...from,
            title: title.trim(),
            what: what.trim(),
            effect: chosen,
            ...(correction.trim() !== '' && { correction: correction.trim() }),
          },
          ...once(key),
        }),
      ),
    async ({ id }) => {
      say(words.done);
      await queries.invalidateQueries({ queryKey: DEVIATIONS_KEY });
      navigate(`/deviations/${id}`);
    },
  );
  const ready = title.trim() !== '' && what.trim() !== '' && effect !== null;
  return (
    <Form
      className="form deviation-form"
      onSubmit={(event) => {
        event.preventDefault();
        if (ready) send.ask(effect);
      }}
    >
      <Field label={words.name} value={title} onChange={setTitle} maxLength={120} isRequired />
      <Field label={words.what} help={words.whatHelp} lines={4} value={what} onChange={setWhat} isRequired />
      <Choice
        label={words.effect}
        options={RESULT_EFFECTS.map((id) => ({ id, ...DEVIATIONS.effects[id] }))}
        value={effect}
        onChange={setEffect}
      />
      <Field
        label={words.correction}
        help={words.correctionHelp}
        lines={3}
        value={correction}
        onChange={setCorrection}
      />
      <ProblemNote problem={send.error} />
      <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
        {send.isPending ? WORDS.sending : words.action}
      </Button>
    </Form>
  );
}
