import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import type { Role } from '../../core/people/roles.js';
import { api, got, once } from '../api.js';
import type { HandOverNote } from '../api.paths.js';
import { useSession } from '../app/session.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { Tag } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { WORDS } from '../words.js';
import { Known } from './Known.js';
import { NOTES_KEY, useNotes } from './queries.js';
import { HANDOVER } from './words.js';

const words = HANDOVER.page.notes;
const LONGEST = 1000;
const WRITERS: readonly Role[] = ['technician', 'releaser', 'manager', 'director'];

/** What people left in writing, and the place to leave something. */
export function Notes() {
  const { may, underPass } = useSession();
  const notes = useNotes();
  return (
    <>
      <Known
        asked={{ data: notes.data, failed: notes.error !== null }}
        none={({ items }) => items.length === 0}
        word={words.none}
      >
        {({ items }) => (
          <ul className="lines">
            {items.map((note) => (
              <Note key={note.id} note={note} />
            ))}
          </ul>
        )}
      </Known>
      {may(...WRITERS) && (underPass ? <p>{words.notNow}</p> : <NewNote />)}
    </>
  );
}

function Note({ note: { id, text, at, person, done } }: { note: HandOverNote }) {
  const { format, may, underPass } = useSession();
  const queries = useQueryClient();
  const see = useChange(
    (_: undefined, key) => got(api.POST('/api/hand-over/notes/{id}/done', { params: { path: { id } }, ...once(key) })),
    async () => {
      say(words.seen);
      await queries.invalidateQueries({ queryKey: NOTES_KEY });
    },
  );
  return (
    <li>
      <p className="note-text">{text}</p>
      <p className="small">
        {person}, <span className="figures">{format.dayAndClock(at)}</span>
        {done && (
          <>
            {' '}
            <Tag frame="soft">{words.done}</Tag> {words.doneBy(done.person, format.dayAndClock(done.at))}
          </>
        )}
      </p>
      {!done && may(...WRITERS) && !underPass && (
        <p className="not-printed">
          <Button
            look="quiet"
            aria-label={words.seeThis(text)}
            isDisabled={see.isPending}
            onPress={() => see.ask(undefined)}
          >
            {words.see}
          </Button>
        </p>
      )}
      <ProblemNote problem={see.error} />
    </li>
  );
}

function NewNote() {
  const queries = useQueryClient();
  const [text, setText] = useState('');
  const leave = useChange(
    (body: { text: string }, key) => got(api.POST('/api/hand-over/notes', { body, ...once(key) })),
    async () => {
      setText('');
      say(words.left);
      await queries.invalidateQueries({ queryKey: NOTES_KEY });
    },
  );
  return (
    <Form
      className="form not-printed"
      onSubmit={(event) => {
        event.preventDefault();
        if (text.trim() !== '') leave.ask({ text: text.trim() });
      }}
    >
      <Field label={words.label} help={words.help} lines={3} maxLength={LONGEST} value={text} onChange={setText} />
      <ProblemNote problem={leave.error} />
      <Button type="submit" isDisabled={text.trim() === '' || leave.isPending}>
        {leave.isPending ? WORDS.sending : words.action}
      </Button>
    </Form>
  );
}
