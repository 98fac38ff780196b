import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { deviationOf } from '../../core/study/acceptance.js';
import { api, got, once } from '../api.js';
import type { Study } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { Signing } from '../parts/Signing.js';
import { WORDS } from '../words.js';
import { STUDIES } from './words.js';

const words = STUDIES.decide;

type Standing = 'accepted' | 'rejected';

/** Signs the end of a comparison; asks why where the plan is left. */
export function DecideSheet({ study, onClose }: { study: Study; onClose: () => void }) {
  const queries = useQueryClient();
  const { results, design, lot } = study;
  const [standing, setStanding] = useState<Standing | null>(null);
  const [reason, setReason] = useState('');
  const [deviation, setDeviation] = useState('');
  const [password, setPassword] = useState('');
  const send = useChange(
    (body: { standing: Standing; reason: string; deviation?: string; password: string }, key) =>
      got(api.POST('/api/studies/{id}/decision', { params: { path: { id: study.id } }, body, ...once(key) })),
    async (decided) => {
      say(words.done(lot.number, STUDIES.standings[decided.lot.standing]));
      onClose();
      await queries.invalidateQueries({ queryKey: ['studies'] });
      await queries.invalidateQueries({ queryKey: ['stock'] });
    },
  );
  const left = standing && results && deviationOf(design, results, standing);
  const whole = standing && reason.trim() !== '' && password !== '' && (!left || deviation.trim() !== '');
  return (
    <Sheet title={words.title(lot.number)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (!whole) return;
          send.ask({
            standing,
            reason: reason.trim(),
            password,
            ...(left && { deviation: deviation.trim() }),
          });
        }}
      >
        <Choice
          label={words.question}
          options={(['accepted', 'rejected'] as const).map((id) => ({ id, ...words[id] }))}
          value={standing}
          onChange={setStanding}
        />
        <Field label={words.reason} value={reason} onChange={setReason} lines={2} isRequired />
        {left && (
          <Field label={words.deviation} help={left} value={deviation} onChange={setDeviation} lines={2} isRequired />
        )}
        <Signing
          meaning={standing === 'rejected' ? 'responsibility' : 'approval'}
          act={standing === 'rejected' ? 'reject' : undefined}
          password={password}
          onPassword={setPassword}
        />
        <ProblemNote problem={send.error} />
        <Button type="submit" look="main" isDisabled={!whole || send.isPending}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
