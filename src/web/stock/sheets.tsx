import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { type ContainerState, LOT_STANDINGS, type LotStanding } from '../../core/lot/lot.js';
import { api, got, once } from '../api.js';
import type { Container, Lot } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { asLocal } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { benchClock } from '../parts/ticker.js';
import { WORDS } from '../words.js';
import { STOCK } from './words.js';

/** Accepts, quarantines, rejects or recalls a lot, with the reason. */
export function DecideSheet({ lot, onClose }: { lot: Lot; onClose: () => void }) {
  const queries = useQueryClient();
  const words = STOCK.decide;
  const [standing, setStanding] = useState<LotStanding | null>(lot.standing === 'quarantined' ? 'accepted' : null);
  const [reason, setReason] = useState('');
  const send = useChange(
    (body: { standing: LotStanding; reason: string }, key) =>
      got(api.POST('/api/lots/{id}/decisions', { params: { path: { id: lot.id } }, body, ...once(key) })),
    async (decided) => {
      say(words.done(lot.number, STOCK.standings[decided.standing]));
      onClose();
      await queries.invalidateQueries({ queryKey: ['stock'] });
    },
  );
  return (
    <Sheet title={words.title(lot.number)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (standing !== null) send.ask({ standing, reason: reason.trim() });
        }}
      >
        <Choice
          label={words.question}
          options={LOT_STANDINGS.filter((id) => id !== lot.standing).map((id) => ({ id, ...words.options[id] }))}
          value={standing}
          onChange={setStanding}
        />
        <Field label={words.reason} help={words.reasonHelp} value={reason} onChange={setReason} lines={3} isRequired />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || standing === null || reason.trim() === ''}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

/** Says that a container was opened, is empty or was thrown away, and when. */
export function StateSheet({
  container: { id, label },
  state,
  onClose,
}: {
  container: Pick<Container, 'id' | 'label'>;
  state: ContainerState;
  onClose: () => void;
}) {
  const queries = useQueryClient();
  const words = STOCK.state;
  const [now] = useState(() => asLocal(benchClock.now().at));
  const [when, setWhen] = useState(now);
  const [reason, setReason] = useState('');
  const ms = Date.parse(when);
  const send = useChange(
    (body: { state: ContainerState; at?: string; reason?: string }, key) =>
      got(api.POST('/api/containers/{id}/state', { params: { path: { id } }, body, ...once(key) })),
    async () => {
      say(words.done(label, STOCK.conditions[state]));
      onClose();
      await queries.invalidateQueries({ queryKey: ['stock'] });
    },
  );
  return (
    <Sheet title={words.titles[state](label)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          send.ask({
            state,
            ...(when !== now && { at: new Date(ms).toISOString() }),
            ...(reason.trim() !== '' && { reason: reason.trim() }),
          });
        }}
      >
        <p>{words.about[state]}</p>
        <Field label={words.when} help={words.whenHelp} type="datetime-local" value={when} onChange={setWhen} />
        <Field label={words.reason} help={WORDS.optional} value={reason} onChange={setReason} lines={2} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || Number.isNaN(ms)}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
