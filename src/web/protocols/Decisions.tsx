import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { Approval, Revision } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Tick } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { dayIn } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { Signing } from '../parts/Signing.js';
import { benchClock } from '../parts/ticker.js';
import { WORDS } from '../words.js';
import { PROTOCOLS } from './words.js';

const words = PROTOCOLS.decide;

/** What can be decided about a revision as it stands, by those whose decision it is. */
export function Decisions({ revision }: { revision: Revision }) {
  const { may } = useSession();
  const [asked, setAsked] = useState<'review' | 'approve' | 'retire' | null>(null);
  const { state, openProposals } = revision;
  const open = state === 'draft' || state === 'reviewed';
  const close = (): void => setAsked(null);
  return (
    <div className="decisions">
      {open && openProposals.length > 0 && (
        <p className="held-note">
          {words.approve.waits(openProposals.length)} <a href="#proposals">{words.approve.toProposals}</a>
        </p>
      )}
      <div className="decisions-ways">
        {open && may('director') && openProposals.length === 0 && (
          <Button look="main" onPress={() => setAsked('approve')}>
            {words.approve.open}
          </Button>
        )}
        {open && may('manager', 'releaser', 'director') && (
          <Button onPress={() => setAsked('review')}>{words.review.open}</Button>
        )}
        {state !== 'retired' && may('director') && (
          <Button look="quiet" onPress={() => setAsked('retire')}>
            {words.retire.open}
          </Button>
        )}
      </div>
      {open && !may('director') && openProposals.length === 0 && <p className="small">{words.approve.notYours}</p>}
      {asked === 'approve' && <ApproveSheet revision={revision} onClose={close} />}
      {(asked === 'review' || asked === 'retire') && <NoteSheet revision={revision} kind={asked} onClose={close} />}
    </div>
  );
}

function useDone(onClose: () => void, said: string): (revision: Revision) => void {
  const queries = useQueryClient();
  return (revision) => {
    say(said);
    onClose();
    queries.setQueryData(['protocols', 'revision', revision.id], revision);
    void queries.invalidateQueries({ queryKey: ['protocols'] });
  };
}

function ApproveSheet({ revision, onClose }: { revision: Revision; onClose: () => void }) {
  const { laboratory } = useSession();
  const [day, setDay] = useState(() => dayIn(laboratory.zone, benchClock.now().at));
  const [reference, setReference] = useState('');
  const [summary, setSummary] = useState('');
  const [newAssessment, setNewAssessment] = useState(false);
  const [password, setPassword] = useState('');
  const done = useDone(onClose, words.approve.done);
  const send = useChange(
    (body: Approval, key) =>
      got(api.POST('/api/revisions/{id}/approve', { params: { path: { id: revision.id } }, body, ...once(key) })),
    done,
  );
  return (
    <Sheet title={words.approve.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          send.ask({
            effectiveFrom: day,
            verification: { reference: reference.trim(), summary: summary.trim() },
            newAssessment,
            password,
          });
        }}
      >
        <p>
          <strong>{revision.title}</strong>, {PROTOCOLS.revision(revision.number).toLowerCase()}
        </p>
        <p>{words.approve.about}</p>
        <Field
          label={words.approve.day}
          help={words.approve.dayHelp}
          type="date"
          value={day}
          onChange={setDay}
          isRequired
        />
        <Field
          label={words.approve.reference}
          help={words.approve.referenceHelp}
          value={reference}
          onChange={setReference}
          autoComplete="off"
          isRequired
        />
        <Field label={words.approve.summary} value={summary} onChange={setSummary} lines={3} isRequired />
        <Tick on={newAssessment} onChange={setNewAssessment}>
          {words.approve.newAssessment}
        </Tick>
        <Signing meaning="approval" password={password} onPassword={setPassword} />
        <ProblemNote problem={send.error} />
        <Button
          look="main"
          type="submit"
          isDisabled={
            send.isPending || day === '' || reference.trim() === '' || summary.trim() === '' || password === ''
          }
        >
          {send.isPending ? WORDS.sending : words.approve.action}
        </Button>
      </Form>
    </Sheet>
  );
}

function NoteSheet({
  revision,
  kind,
  onClose,
}: {
  revision: Revision;
  kind: 'review' | 'retire';
  onClose: () => void;
}) {
  const [note, setNote] = useState('');
  const [password, setPassword] = useState('');
  const done = useDone(onClose, words[kind].done);
  const send = useChange((body: { note: string; password: string }, key) => {
    const how = { params: { path: { id: revision.id } }, body, ...once(key) };
    return got(
      kind === 'review' ? api.POST('/api/revisions/{id}/review', how) : api.POST('/api/revisions/{id}/retire', how),
    );
  }, done);
  return (
    <Sheet title={words[kind].title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          send.ask({ note: note.trim(), password });
        }}
      >
        <p>
          <strong>{revision.title}</strong>, {PROTOCOLS.revision(revision.number).toLowerCase()}
        </p>
        <p>{words[kind].about}</p>
        <Field
          label={kind === 'review' ? words.reviewNote : words.retireNote}
          value={note}
          onChange={setNote}
          lines={2}
          isRequired
        />
        <Signing
          meaning={kind === 'review' ? 'review' : 'responsibility'}
          act={kind === 'review' ? undefined : 'retire'}
          password={password}
          onPassword={setPassword}
        />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || note.trim() === '' || password === ''}>
          {send.isPending ? WORDS.sending : words[kind].action}
        </Button>
      </Form>
    </Sheet>
  );
}
