import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { REVIEW_AREAS, type ReviewArea } from '../../core/people/review.js';
import { api, got, once } from '../api.js';
import type { NewReviewGrant, ReviewGrant } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Tick } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { REVIEW } from './words.js';

const words = REVIEW.reviews;

const EMPTY = { personId: '', fromDay: '', toDay: '', validFrom: '', validTo: '', protocols: '', reason: '' };

/** Gives a reviewer access to a part of the record for a time. */
export function GrantSheet({ onClose }: { onClose: () => void }) {
  const queries = useQueryClient();
  const people = useQuery({ queryKey: ['people'], queryFn: () => got(api.GET('/api/people')) });
  const reviewers = (people.data ?? []).filter(({ roles, disabled }) => roles.includes('reviewer') && !disabled);
  const [form, setForm] = useState(EMPTY);
  const [areas, setAreas] = useState<ReviewArea[]>([]);
  const set = (name: keyof typeof EMPTY) => (value: string) => setForm((before) => ({ ...before, [name]: value }));
  const send = useChange(
    (body: NewReviewGrant, key) => got(api.POST('/api/review/grants', { body, ...once(key) })),
    async ({ name }) => {
      say(words.giveDone(name));
      onClose();
      await queries.invalidateQueries({ queryKey: ['people'] });
    },
  );
  const { protocols, ...rest } = form;
  const ready = Object.values(rest).every((value) => value.trim() !== '');
  const named = protocols.split(/[\s,]+/).filter((id) => id !== '');
  return (
    <Sheet title={words.give} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (!ready) return;
          send.ask({ ...rest, ...(named.length > 0 && { protocols: named }), ...(areas.length > 0 && { areas }) });
        }}
      >
        {people.data && reviewers.length === 0 && <p>{words.noReviewers}</p>}
        <SelectField
          label={words.who}
          value={form.personId}
          onChange={set('personId')}
          options={reviewers.map(({ id, name }) => ({ id, name }))}
          empty={words.chooseWho}
        />
        <Field label={words.fromDay} help={words.daysHelp} type="date" value={form.fromDay} onChange={set('fromDay')} />
        <Field label={words.toDay} type="date" value={form.toDay} onChange={set('toDay')} />
        <Field
          label={words.validFrom}
          help={words.validHelp}
          type="date"
          value={form.validFrom}
          onChange={set('validFrom')}
        />
        <Field label={words.validTo} type="date" value={form.validTo} onChange={set('validTo')} />
        <fieldset>
          <legend>{words.areas}</legend>
          {REVIEW_AREAS.map((area) => (
            <Tick
              key={area}
              on={areas.length === 0 || areas.includes(area)}
              onChange={(on) => {
                const before = areas.length === 0 ? [...REVIEW_AREAS] : areas;
                const after = on ? [...before, area] : before.filter((each) => each !== area);
                // All of them is no limit, and none would open nothing.
                setAreas(after.length === REVIEW_AREAS.length ? [] : after.length === 0 ? before : after);
              }}
            >
              {words.areaNames[area]}
            </Tick>
          ))}
        </fieldset>
        <Field label={words.protocols} help={words.protocolsHelp} value={protocols} onChange={set('protocols')} />
        <Field label={words.reason} help={words.reasonHelp} value={form.reason} onChange={set('reason')} lines={2} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

/** Takes access back before its time. */
export function RevokeSheet({ grant, onClose }: { grant: ReviewGrant; onClose: () => void }) {
  const queries = useQueryClient();
  const [reason, setReason] = useState('');
  const send = useChange(
    (body: { reason: string }, key) =>
      got(api.POST('/api/review/grants/{id}/revocation', { params: { path: { id: grant.id } }, body, ...once(key) })),
    async () => {
      say(words.revokeDone);
      onClose();
      await queries.invalidateQueries({ queryKey: ['people'] });
    },
  );
  return (
    <Sheet title={words.revokeTitle(grant.name)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (reason.trim() !== '') send.ask({ reason: reason.trim() });
        }}
      >
        <Field label={words.revokeReason} help={words.revokeReasonHelp} value={reason} onChange={setReason} lines={2} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={reason.trim() === '' || send.isPending}>
          {send.isPending ? WORDS.sending : words.revoke}
        </Button>
      </Form>
    </Sheet>
  );
}
