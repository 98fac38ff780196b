import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { type RoundActKind, roundStanding } from '../../core/external-assessment/round.js';
import { api, got, once } from '../api.js';
import type { AssessmentRound } from '../api.paths.js';
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
import { ROUNDS } from './words.js';

export function AddSheet({ onClose }: { onClose: () => void }) {
  const queries = useQueryClient();
  const words = ROUNDS.add;
  const protocols = useQuery({ queryKey: ['protocols'], queryFn: () => got(api.GET('/api/protocols')) });
  const [body, setBody] = useState('');
  const [round, setRound] = useState('');
  const [protocolId, setProtocolId] = useState('');
  const [dueDay, setDueDay] = useState('');
  const [samples, setSamples] = useState('1');
  const send = useChange(
    (count: number, key) =>
      got(
        api.POST('/api/assessment-rounds', {
          body: { body: body.trim(), round: round.trim(), protocolId, dueDay, samples: count },
          ...once(key),
        }),
      ),
    async () => {
      say(words.done);
      onClose();
      await queries.invalidateQueries({ queryKey: ['rounds'] });
    },
  );
  const uncountable = samples.trim() !== '' && !/^[1-9]\d{0,3}$/.test(samples.trim());
  const ready = [body, round, protocolId, dueDay, samples].every((each) => each.trim() !== '') && !uncountable;
  return (
    <Sheet title={words.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) send.ask(Number(samples));
        }}
      >
        <Field label={words.body} help={words.bodyHelp} value={body} onChange={setBody} isRequired />
        <Field label={words.round} help={words.roundHelp} value={round} onChange={setRound} isRequired />
        <SelectField
          label={words.protocol}
          empty={words.protocolEmpty}
          value={protocolId}
          onChange={setProtocolId}
          options={(protocols.data ?? []).map(({ id, title }) => ({ id, name: title }))}
        />
        <Field
          label={words.dueDay}
          help={words.dueDayHelp}
          type="date"
          value={dueDay}
          onChange={setDueDay}
          isRequired
        />
        <Field
          label={words.samples}
          help={words.samplesHelp}
          error={uncountable ? words.notCount : undefined}
          inputMode="numeric"
          value={samples}
          onChange={setSamples}
          isRequired
        />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

/** What can come next, the usual first. */
function nextActs(round: AssessmentRound): RoundActKind[] {
  switch (roundStanding(round.acts.map((act) => ({ ...act, data: act })))) {
    case 'to be stained':
      return ['sent'];
    case 'waiting for its score':
      return ['scored'];
    case 'to be looked into':
      return ['cause', 'action'];
    default:
      return ['closed', 'cause', 'action'];
  }
}

export function ActSheet({ round, onClose }: { round: AssessmentRound; onClose: () => void }) {
  const queries = useQueryClient();
  const words = ROUNDS.act;
  const kinds = nextActs(round);
  const [kind, setKind] = useState<RoundActKind>(kinds[0] ?? 'closed');
  const [text, setText] = useState('');
  const [score, setScore] = useState('');
  const [outOf, setOutOf] = useState('');
  const [judged, setJudged] = useState<'yes' | 'no' | null>(null);
  const [password, setPassword] = useState('');
  const send = useChange(
    (chosen: RoundActKind, key) =>
      got(
        api.POST('/api/assessment-rounds/{id}/acts', {
          params: { path: { id: round.id } },
          body: {
            kind: chosen,
            ...(text.trim() !== '' && { text: text.trim() }),
            ...(chosen === 'scored' && {
              score: Number(score),
              outOf: Number(outOf),
              satisfactory: judged === 'yes',
            }),
            ...(chosen === 'closed' && { password }),
          },
          ...once(key),
        }),
      ),
    async () => {
      say(words.done);
      onClose();
      await queries.invalidateQueries({ queryKey: ['rounds'] });
    },
  );
  const ready = {
    scored: score.trim() !== '' && outOf.trim() !== '' && judged !== null,
    closed: password !== '',
    sent: text.trim() !== '',
    cause: text.trim() !== '',
    action: text.trim() !== '',
  }[kind];
  return (
    <Sheet title={words.title(round.round)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) send.ask(kind);
        }}
      >
        <Choice
          label={words.kind}
          options={kinds.map((id) => ({ id, name: ROUNDS.acts[id] }))}
          value={kind}
          onChange={setKind}
        />
        {kind === 'scored' && (
          <>
            <Field label={words.score} inputMode="decimal" value={score} onChange={setScore} isRequired />
            <Field label={words.outOf} inputMode="decimal" value={outOf} onChange={setOutOf} isRequired />
            <Choice
              label={words.judged}
              help={words.judgedHelp}
              options={[
                { id: 'yes', name: ROUNDS.satisfactory },
                { id: 'no', name: ROUNDS.unsatisfactory },
              ]}
              value={judged}
              onChange={setJudged}
            />
          </>
        )}
        <Field label={words.text} help={words.textHelp[kind]} lines={3} value={text} onChange={setText} />
        {kind === 'closed' && <Signing meaning="review" password={password} onPassword={setPassword} />}
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
