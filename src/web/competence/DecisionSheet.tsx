import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import {
  ASSESSMENT_ELEMENTS,
  type AssessmentElement,
  COMPETENCE_DECISIONS,
  type CompetenceDecision,
  letsWork,
} from '../../core/competence/competence.js';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { Competence, CompetenceList } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { asWords } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { Signing } from '../parts/Signing.js';
import { WORDS } from '../words.js';
import { COMPETENCE } from './words.js';

const words = COMPETENCE.sheet;

/** Decides, with a signature, whether a person may do a protocol. */
export function DecisionSheet({
  list,
  about,
  onClose,
}: {
  list: CompetenceList;
  about: Competence;
  onClose: () => void;
}) {
  const queries = useQueryClient();
  const { format } = useSession();
  const person = list.people.find(({ id }) => id === about.personId)?.name ?? '';
  const protocol = list.protocols.find(({ protocolId }) => protocolId === about.protocolId)?.title ?? '';
  const [decision, setDecision] = useState<CompetenceDecision | null>(null);
  const [evidence, setEvidence] = useState<Partial<Record<AssessmentElement, string>>>({});
  const [reason, setReason] = useState('');
  const [lastDay, setLastDay] = useState('');
  const [password, setPassword] = useState('');
  const send = useChange(
    (chosen: CompetenceDecision, key) =>
      got(
        api.POST('/api/people/{id}/competence', {
          params: { path: { id: about.personId } },
          body: {
            protocolId: about.protocolId,
            decision: chosen,
            elements: ASSESSMENT_ELEMENTS.flatMap((element) => {
              const seen = evidence[element]?.trim() ?? '';
              return seen === '' ? [] : [{ element, evidence: seen }];
            }),
            reason: reason.trim(),
            ...(lastDay !== '' && { lastDay }),
            password,
          },
          ...once(key),
        }),
      ),
    async () => {
      say(words.done(person));
      onClose();
      await queries.invalidateQueries({ queryKey: ['competence'] });
    },
  );
  const allowed = decision !== null && letsWork(decision);
  const ready = decision !== null && reason.trim() !== '' && password !== '';
  return (
    <Sheet title={words.title(person, protocol)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) send.ask(decision);
        }}
      >
        <Choice
          label={words.decision}
          options={COMPETENCE_DECISIONS.map((id) => ({ id, ...words.decisions[id] }))}
          value={decision}
          onChange={setDecision}
        />
        {decision === 'competent' && (
          <fieldset className="elements">
            <legend>{words.elements}</legend>
            <p className="field-help">{words.elementsHelp}</p>
            {ASSESSMENT_ELEMENTS.map((element) => (
              <Field
                key={element}
                label={asWords(element)}
                value={evidence[element] ?? ''}
                onChange={(seen) => setEvidence((known) => ({ ...known, [element]: seen }))}
              />
            ))}
          </fieldset>
        )}
        <Field label={words.reason} help={words.reasonHelp} lines={2} value={reason} onChange={setReason} isRequired />
        {allowed && (
          <Field label={words.lastDay} help={words.lastDayHelp} type="date" value={lastDay} onChange={setLastDay} />
        )}
        <Signing
          meaning={allowed ? 'approval' : 'responsibility'}
          act={allowed ? 'assess' : undefined}
          password={password}
          onPassword={setPassword}
        />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
      {about.acts.length > 0 && (
        <>
          <h3>{COMPETENCE.history}</h3>
          <ul className="plain-list">
            {about.acts.map((act) => (
              <li key={act.id} className="small">
                {COMPETENCE.history1(
                  words.decisions[act.decision].name,
                  format.dayAndClock(act.at),
                  act.signature.name,
                )}
                : {act.reason}
              </li>
            ))}
          </ul>
        </>
      )}
    </Sheet>
  );
}
