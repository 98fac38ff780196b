import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { api, got, once } from '../api.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { limitsText, usePlaces } from './places.js';
import { PLACES_WORDS } from './words.js';

interface Named {
  id: string;
  label: string;
}

/** Puts a container into a storage place. */
export function MoveSheet({ container: { id, label }, onClose }: { container: Named; onClose: () => void }) {
  const queries = useQueryClient();
  const words = PLACES_WORDS.move;
  const places = usePlaces();
  const [place, setPlace] = useState('');
  const [reason, setReason] = useState('');
  const send = useChange(
    (body: { place: string; reason?: string }, key) =>
      got(api.POST('/api/containers/{id}/place', { params: { path: { id } }, body, ...once(key) })),
    async (moved) => {
      say(words.done(label, moved.name));
      onClose();
      await queries.invalidateQueries({ queryKey: ['stock'] });
    },
  );
  return (
    <Sheet title={words.title(label)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (place !== '') send.ask({ place, ...(reason.trim() !== '' && { reason: reason.trim() }) });
        }}
      >
        <p>{words.about}</p>
        {places.data && places.data.places.length === 0 && <p className="held-note">{words.none}</p>}
        <SelectField
          label={words.place}
          value={place}
          empty={words.pick}
          onChange={setPlace}
          options={(places.data?.places ?? []).map((each) => ({
            id: each.code,
            name: `${each.name}, ${limitsText(each)}`,
          }))}
        />
        <Field label={words.reason} help={WORDS.optional} value={reason} onChange={setReason} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || place === ''}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

const HELD_BY_HAND = ['damage', 'storage together', 'other'] as const;

/** Puts a container on hold until a person decides. */
export function HoldSheet({ container: { id, label }, onClose }: { container: Named; onClose: () => void }) {
  const queries = useQueryClient();
  const words = PLACES_WORDS.hold;
  const [kind, setKind] = useState<(typeof HELD_BY_HAND)[number] | null>(null);
  const [reason, setReason] = useState('');
  const send = useChange(
    (body: { kind: (typeof HELD_BY_HAND)[number]; reason: string }, key) =>
      got(api.POST('/api/containers/{id}/holds', { params: { path: { id } }, body, ...once(key) })),
    async () => {
      say(words.done(label));
      onClose();
      await queries.invalidateQueries({ queryKey: ['stock'] });
    },
  );
  return (
    <Sheet title={words.title(label)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (kind !== null) send.ask({ kind, reason: reason.trim() });
        }}
      >
        <p>{words.about}</p>
        <Choice
          label={words.kind}
          options={HELD_BY_HAND.map((each) => ({ id: each, name: PLACES_WORDS.excursions.kinds[each] }))}
          value={kind}
          onChange={setKind}
        />
        <Field label={words.reason} value={reason} onChange={setReason} lines={2} isRequired />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || kind === null || reason.trim() === ''}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

/** Records a look at the water over picric acid. */
export function WaterSheet({ container: { id, label }, onClose }: { container: Named; onClose: () => void }) {
  const queries = useQueryClient();
  const words = PLACES_WORDS.water;
  const [seen, setSeen] = useState<'wet' | 'dry' | null>(null);
  const [note, setNote] = useState('');
  const send = useChange(
    (body: { wet: boolean; note?: string }, key) =>
      got(api.POST('/api/containers/{id}/water-checks', { params: { path: { id } }, body, ...once(key) })),
    async () => {
      say(words.done);
      onClose();
      await queries.invalidateQueries({ queryKey: ['stock'] });
    },
  );
  return (
    <Sheet title={words.title(label)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (seen !== null) send.ask({ wet: seen === 'wet', ...(note.trim() !== '' && { note: note.trim() }) });
        }}
      >
        <p className="held-note">{words.about}</p>
        <Choice
          label={words.question}
          options={[
            { id: 'wet', ...words.wet },
            { id: 'dry', ...words.dry },
          ]}
          value={seen}
          onChange={setSeen}
        />
        <Field label={words.note} help={WORDS.optional} value={note} onChange={setNote} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || seen === null}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
