import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import type { Protocol } from '../../../core/protocol/protocol.js';
import { withOwnFigures } from '../../../core/protocol/figures.js';
import { api, got, once } from '../../api.js';
import type { Revision } from '../../api.paths.js';
import { navigate } from '../../app/router.js';
import type { ScreenProps } from '../../app/screen.js';
import { Button } from '../../parts/Button.js';
import { useChange } from '../../parts/change.js';
import { Field } from '../../parts/Field.js';
import { kept } from '../../parts/kept.js';
import { say } from '../../parts/notices.js';
import { Page, Part, Waiting } from '../../parts/Page.js';
import { ProblemNote } from '../../parts/ProblemNote.js';
import { Sheet } from '../../parts/Sheet.js';
import { WORDS } from '../../words.js';
import { useRevision } from '../protocols.js';
import '../protocols.css';
import { Timeline } from '../Timeline.js';
import { PROTOCOLS } from '../words.js';
import { ChangeFields, FitnessList, StorageList } from './Afterwards.js';
import { Changes } from './Changes.js';
import { type Draft, drawable, emptyDraft, named } from './draft.js';
import './editor.css';
import { FaultList } from './FaultList.js';
import { Faults, useFaults } from './faults.js';
import { CautionList, ControlList, PointList, StepList } from './Lists.js';
import { WholeFields } from './WholeFields.js';
import { EDITOR as words } from './words.js';

/** A new draft, from a revision or from nothing. */
export default function EditScreen({ revision: id }: ScreenProps) {
  return id === undefined ? <Editor base={null} /> : <EditRevision id={id} />;
}

function EditRevision({ id }: { id: string }) {
  const { data, error, refetch } = useRevision(id);
  if (data) return <Editor key={id} base={data} />;
  return (
    <Page title={words.open} above={{ href: '/protocols', word: PROTOCOLS.title }}>
      <Waiting error={error} onRetry={() => void refetch()} />
    </Page>
  );
}

/** A draft as it is kept on this device until it is sent; null when there is none that can be read. */
function keptDraft(name: string): Draft | null {
  try {
    return JSON.parse(kept.read(name) ?? 'null') as Draft | null;
  } catch {
    return null;
  }
}

function Editor({ base }: { base: Revision | null }) {
  const name = `protocol-draft.${base?.id ?? 'new'}`;
  const [found] = useState(() => keptDraft(name));
  const [takenUp, setTakenUp] = useState(found !== null);
  const [draft, setDraft] = useState<Draft>(found ?? base?.content ?? emptyDraft());
  // The last one that could be drawn, so that nothing jumps while a figure is being typed.
  const [picture, setPicture] = useState(() => drawable(draft));
  // What a field was begun with is its own until the draft is another one.
  const [written, setWritten] = useState(0);
  const [discarding, setDiscarding] = useState(false);
  const { faults, checked, failed } = useFaults(draft);
  const change = (to: Draft): void => {
    setDraft(to);
    setPicture(drawable(to) ?? picture);
    kept.write(name, JSON.stringify(to));
  };
  const above = base
    ? { href: `/protocols/${base.id}`, word: PROTOCOLS.revision(base.number) }
    : { href: '/protocols', word: PROTOCOLS.title };
  return (
    <Page
      title={base ? words.title(base.title) : words.newTitle}
      above={above}
      about={<p>{words.about}</p>}
      ways={<Button onPress={() => setDiscarding(true)}>{words.discard}</Button>}
    >
      {takenUp && <p role="status">{words.takenUp}</p>}
      <Faults value={faults}>
        <div key={written} className="draft">
          <Part title={PROTOCOLS.timeline.title}>
            {picture ? <Timeline protocol={picture} /> : <p className="small">{PROTOCOLS.timeline.waits}</p>}
          </Part>
          <Part title={words.whole} id="draft-whole">
            <WholeFields draft={draft} isNew={base === null} onChange={change} />
          </Part>
          <Part title={words.steps} id="draft-steps">
            <StepList draft={draft} faults={faults} onChange={change} />
          </Part>
          <Part title={words.controls} id="draft-controls">
            <ControlList draft={draft} faults={faults} onChange={change} />
          </Part>
          <Part title={words.points} id="draft-releasePoints">
            <PointList draft={draft} faults={faults} onChange={change} />
          </Part>
          <Part title={words.cautions} id="draft-cautions">
            <CautionList draft={draft} faults={faults} onChange={change} />
          </Part>
          <Part title={words.shared} id="draft-change">
            <ChangeFields draft={draft} onChange={change} />
          </Part>
          <Part title={words.storage} id="draft-storage">
            <StorageList draft={draft} faults={faults} onChange={change} />
          </Part>
          <Part title={words.fitnessList} id="draft-fitness">
            <FitnessList draft={draft} faults={faults} onChange={change} />
          </Part>
        </div>
      </Faults>
      <FaultList faults={faults} checked={checked} failed={failed} />
      <Keep base={base} draft={draft} ready={checked && faults.length === 0} onKept={() => kept.write(name, '')} />
      {discarding && (
        <Sheet title={words.discardAsk} onClose={() => setDiscarding(false)} closeWord={WORDS.cancel}>
          <p>{words.discardHelp}</p>
          <Button
            look="main"
            onPress={() => {
              kept.write(name, '');
              setTakenUp(false);
              const from = base?.content ?? emptyDraft();
              setDraft(from);
              setPicture(drawable(from));
              setWritten(written + 1);
              setDiscarding(false);
            }}
          >
            {words.discard}
          </Button>
        </Sheet>
      )}
    </Page>
  );
}

/** What is different, why, and the way to keep it. */
function Keep({
  base,
  draft,
  ready,
  onKept,
}: {
  base: Revision | null;
  draft: Draft;
  ready: boolean;
  onKept: () => void;
}) {
  const queries = useQueryClient();
  const [note, setNote] = useState('');
  const send = useChange(
    (body: { content: Protocol; basedOn?: string; note?: string }, key) =>
      got(api.POST('/api/protocols/drafts', { body, ...once(key) })),
    async ({ id, title, number }) => {
      onKept();
      say(words.saved(title, number));
      await queries.invalidateQueries({ queryKey: ['protocols'] });
      navigate(`/protocols/${id}`);
    },
  );
  return (
    <Part title={words.changes}>
      {base && ready && <Changes before={base.content} after={named(draft) as Protocol} />}
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (!ready) return;
          send.ask({
            content: withOwnFigures(base?.content ?? null, named(draft) as Protocol),
            ...(base && { basedOn: base.id }),
            ...(note.trim() !== '' && { note: note.trim() }),
          });
        }}
      >
        <Field label={words.note} help={words.noteHelp} value={note} onChange={setNote} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
          {send.isPending ? WORDS.sending : words.save}
        </Button>
      </Form>
    </Part>
  );
}
