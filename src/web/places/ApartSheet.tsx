import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { api, got, once } from '../api.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { usePlaces } from './places.js';
import { PLACES_WORDS } from './words.js';

const words = PLACES_WORDS.apartSheet;

/** Records that containers were put where nobody reaches for them. */
export function ApartSheet({ containers, onClose }: { containers: readonly string[]; onClose: () => void }) {
  const queries = useQueryClient();
  const places = usePlaces();
  const apart = (places.data?.places ?? []).filter((each) => each.apart);
  const [chosen, setChosen] = useState('');
  const place = chosen || (apart.length === 1 ? (apart[0]?.code ?? '') : '');
  const [reason, setReason] = useState<string>(words.given);
  const send = useChange(
    (body: { containers: string[]; place: string; reason: string }, key) =>
      got(api.POST('/api/stock/leaving', { body, ...once(key) })),
    async () => {
      say(words.done(containers.length));
      onClose();
      await queries.invalidateQueries({ queryKey: ['stock'] });
    },
  );
  return (
    <Sheet title={words.title(containers.length)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (place !== '') send.ask({ containers: [...containers], place, reason: reason.trim() });
        }}
      >
        {places.data && apart.length === 0 && <p className="held-note">{words.noPlace}</p>}
        {apart.length > 0 && (
          <SelectField
            label={words.place}
            value={place}
            empty={words.pick}
            onChange={setChosen}
            options={apart.map(({ code, name }) => ({ id: code, name }))}
          />
        )}
        <Field label={words.reason} value={reason} onChange={setReason} lines={2} isRequired />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || place === '' || reason.trim() === ''}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
