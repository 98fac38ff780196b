import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { endFault } from '../../core/deviations/check.js';
import {
  CAUSE_KINDS,
  type CauseKind,
  DEVIATION_ENDS,
  type DeviationActKind,
  type DeviationEnd,
  RESULT_EFFECTS,
  type ResultEffect,
} from '../../core/deviations/deviation.js';
import { api, got, once } from '../api.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { Signing } from '../parts/Signing.js';
import { WORDS } from '../words.js';
import { DEVIATIONS_KEY, type DeviationStory, useWorkers } from './queries.js';
import { DEVIATIONS } from './words.js';

export type WorkingAct = Exclude<DeviationActKind, 'closed' | 'reopened'>;

const words = DEVIATIONS.sheet;
const OWNED: readonly WorkingAct[] = ['assigned', 'action', 'check planned'];

/** Asks for what an act needs and adds it. */
export function ActSheet({
  story,
  kind,
  actionId,
  onClose,
}: {
  story: DeviationStory;
  kind: WorkingAct;
  actionId: string | undefined;
  onClose: () => void;
}) {
  const workers = useWorkers();
  const [text, setText] = useState('');
  const [ownerId, setOwnerId] = useState('');
  const [dueDay, setDueDay] = useState('');
  const [notBeforeDay, setNotBeforeDay] = useState('');
  const [causeKind, setCauseKind] = useState<CauseKind | null>(null);
  const [effect, setEffect] = useState<ResultEffect | null>(null);
  const [met, setMet] = useState<'yes' | 'no' | null>(null);
  const done = useDone(words.done, onClose);
  const send = useChange(
    (_: null, key) =>
      got(
        api.POST('/api/deviations/{id}/acts', {
          params: { path: { id: story.id } },
          body: {
            kind,
            ...(text.trim() !== '' && { text: text.trim() }),
            ...(ownerId !== '' && { ownerId }),
            ...(dueDay !== '' && { dueDay }),
            ...(notBeforeDay !== '' && { notBeforeDay }),
            ...(causeKind !== null && { causeKind }),
            ...(effect !== null && { effect }),
            ...(met !== null && { effective: met === 'yes' }),
            ...(actionId !== undefined && { actionId }),
          },
          ...once(key),
        }),
      ),
    done,
  );
  const owned = OWNED.includes(kind);
  // Who had an action to do, or did it, does not check its effect.
  const own = kind === 'check planned' ? story.actions.flatMap((action) => [action.ownerId, action.doneById]) : [];
  const others = (workers.data ?? []).filter(({ id }) => !own.includes(id));
  const ready =
    (kind === 'assigned' || text.trim() !== '') &&
    (!owned || (ownerId !== '' && dueDay !== '')) &&
    (kind !== 'check planned' || notBeforeDay !== '') &&
    (kind !== 'cause' || causeKind !== null) &&
    (kind !== 'effect' || effect !== null) &&
    (kind !== 'checked' || met !== null);
  return (
    <Sheet title={words.titles[kind]} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) send.ask(null);
        }}
      >
        {kind === 'checked' && story.check && (
          <p>
            <strong>{DEVIATIONS.story.criterion}:</strong> {story.check.criterion}
          </p>
        )}
        {actionId !== undefined && <p>{story.actions.find(({ id }) => id === actionId)?.text}</p>}
        {kind === 'effect' && (
          <Choice
            label={DEVIATIONS.fresh.effect}
            options={RESULT_EFFECTS.map((id) => ({ id, ...DEVIATIONS.effects[id] }))}
            value={effect}
            onChange={setEffect}
          />
        )}
        {kind === 'cause' && (
          <SelectField
            label={words.causeKind}
            help={words.causeKindHelp}
            empty={words.ownerEmpty}
            value={causeKind ?? ''}
            onChange={setCauseKind}
            options={CAUSE_KINDS.map((id) => ({ id, name: DEVIATIONS.causes[id] }))}
          />
        )}
        {kind === 'checked' && (
          <Choice
            label={words.effective}
            help={words.effectiveHelp}
            options={[
              { id: 'yes', name: words.effectiveYes },
              { id: 'no', name: words.effectiveNo },
            ]}
            value={met}
            onChange={setMet}
          />
        )}
        {kind !== 'assigned' && (
          <Field
            label={words.texts[kind]}
            help={words.textsHelp}
            lines={3}
            value={text}
            onChange={setText}
            isRequired
          />
        )}
        {owned && (
          <SelectField
            label={words.owner}
            {...(kind === 'check planned' && { help: words.ownHelp })}
            empty={words.ownerEmpty}
            value={ownerId}
            onChange={setOwnerId}
            options={others}
          />
        )}
        {kind === 'check planned' && (
          <Field
            label={words.notBeforeDay}
            help={words.notBeforeHelp}
            type="date"
            value={notBeforeDay}
            onChange={setNotBeforeDay}
            isRequired
          />
        )}
        {owned && <Field label={words.dueDay} type="date" value={dueDay} onChange={setDueDay} isRequired />}
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

export function CloseSheet({ story, onClose }: { story: DeviationStory; onClose: () => void }) {
  const end = DEVIATIONS.end;
  const standing = {
    state: story.state,
    actions: story.actions.map((action) => ({ done: action.doneAt === null ? null : action })),
  };
  const ends = DEVIATION_ENDS.map((id) => {
    const fault = endFault(standing, id);
    return { id, name: DEVIATIONS.ends[id].name, more: fault ?? DEVIATIONS.ends[id].more, off: fault !== null };
  });
  const [ended, setEnded] = useState<DeviationEnd | null>(ends.find(({ off }) => !off)?.id ?? null);
  const [reason, setReason] = useState('');
  const [password, setPassword] = useState('');
  const done = useDone(end.done, onClose);
  const send = useChange(
    (chosen: DeviationEnd, key) =>
      got(
        api.POST('/api/deviations/{id}/close', {
          params: { path: { id: story.id } },
          body: { ended: chosen, reason: reason.trim(), password },
          ...once(key),
        }),
      ),
    done,
  );
  const ready = ended !== null && reason.trim() !== '' && password !== '';
  return (
    <Sheet title={end.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) send.ask(ended);
        }}
      >
        <Choice label={end.how} options={ends} value={ended} onChange={setEnded} />
        <Field label={end.reason} help={end.reasonHelp} lines={3} value={reason} onChange={setReason} isRequired />
        <Signing meaning="review" password={password} onPassword={setPassword} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
          {send.isPending ? WORDS.sending : end.action}
        </Button>
      </Form>
    </Sheet>
  );
}

export function ReopenSheet({ story, onClose }: { story: DeviationStory; onClose: () => void }) {
  const again = DEVIATIONS.again;
  const [reason, setReason] = useState('');
  const done = useDone(again.done, onClose);
  const send = useChange(
    (text: string, key) =>
      got(
        api.POST('/api/deviations/{id}/reopen', {
          params: { path: { id: story.id } },
          body: { reason: text },
          ...once(key),
        }),
      ),
    done,
  );
  const ready = reason.trim() !== '';
  return (
    <Sheet title={again.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) send.ask(reason.trim());
        }}
      >
        <Field label={again.reason} lines={3} value={reason} onChange={setReason} isRequired />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
          {send.isPending ? WORDS.sending : again.action}
        </Button>
      </Form>
    </Sheet>
  );
}

function useDone(word: string, onClose: () => void): () => Promise<void> {
  const queries = useQueryClient();
  return async () => {
    say(word);
    onClose();
    await queries.invalidateQueries({ queryKey: DEVIATIONS_KEY });
  };
}
