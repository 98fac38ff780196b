import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { TISSUE_MOMENTS, TISSUE_WINDOWS, type TissueMoment } from '../../core/specimen/tissue.js';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { shortLabel } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { TimeField } from '../parts/TimeField.js';
import { useReagents } from '../stock/stock.js';
import { WORDS } from '../words.js';
import { RELEASE } from './words.js';

const words = RELEASE.findings.tissue;

/** Records when the specimen of a slide left the body, went into fixative or came out of it. */
export function TissueSheet({ subjectId, onClose }: { subjectId: string; onClose: () => void }) {
  const { format } = useSession();
  const queries = useQueryClient();
  const specimen = useSpecimen(subjectId);
  const fixatives = (useReagents().data ?? []).filter((reagent) => reagent.kind === 'fixative');
  const [kind, setKind] = useState<TissueMoment>('into fixative');
  const [at, setAt] = useState('');
  const [fixative, setFixative] = useState<string>(TISSUE_WINDOWS['breast receptors'].fixative);
  const [reason, setReason] = useState('');
  const send = useChange(
    (id: string, key) =>
      got(
        api.POST('/api/subjects/{id}/moments', {
          params: { path: { id } },
          body: {
            kind,
            at: new Date(at).toISOString(),
            ...(kind === 'into fixative' && { fixative }),
            ...(reason.trim() !== '' && { reason: reason.trim() }),
          },
          ...once(key),
        }),
      ),
    async () => {
      say(words.done);
      onClose();
      await queries.invalidateQueries({ queryKey: ['runs'] });
      await queries.invalidateQueries({ queryKey: ['subjects'] });
    },
  );
  if (!specimen.data) {
    return (
      <Sheet title={words.title('')} onClose={onClose} closeWord={WORDS.cancel}>
        <Waiting error={specimen.error} onRetry={() => void specimen.refetch()} />
      </Sheet>
    );
  }
  const { id, label, takenAt, moments } = specimen.data;
  return (
    <Sheet title={words.title(shortLabel(label))} onClose={onClose} closeWord={WORDS.cancel}>
      <ul className="plain-list">
        {takenAt !== null && (
          <li>
            {words.kinds['out of the body']}: {format.dayAndClock(takenAt)}
          </li>
        )}
        {moments.map((moment) => (
          <li key={`${moment.kind} ${moment.at} ${moment.reason}`}>
            {words.kinds[moment.kind]}: {format.dayAndClock(moment.at)}
            {moment.fixative !== null && `, ${moment.fixative}`}
            {moment.reason !== null && ` (${moment.reason})`}
          </li>
        ))}
      </ul>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (at !== '') send.ask(id);
        }}
      >
        <Choice
          label={words.kind}
          options={TISSUE_MOMENTS.map((each) => ({ id: each, name: words.kinds[each] }))}
          value={kind}
          onChange={setKind}
        />
        <TimeField label={words.at} help={words.atHelp} value={at} onChange={setAt} isRequired />
        {kind === 'into fixative' && (
          <SelectField
            label={words.fixative}
            value={fixative}
            onChange={setFixative}
            options={fixatives.map(({ code, name }) => ({ id: code, name }))}
          />
        )}
        <Field label={words.reason} help={words.reasonHelp} value={reason} onChange={setReason} maxLength={500} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={at === '' || send.isPending}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

/** The specimen that a slide was cut from, or the specimen itself. */
function useSpecimen(subjectId: string) {
  const read = (id: string) => got(api.GET('/api/subjects/{id}', { params: { path: { id } } }));
  return useQuery({
    queryKey: ['subjects', subjectId, 'specimen'],
    queryFn: async () => {
      const own = await read(subjectId);
      return own.parentId === null ? own : read(own.parentId);
    },
  });
}
