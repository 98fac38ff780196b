import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { controlReadings, eventsOf } from '../../core/run/state.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import { Button } from '../parts/Button.js';
import { Tick } from '../parts/Choice.js';
import { shortLabel } from '../parts/format.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { PictureSheet } from '../pictures/PictureSheet.js';
import { useRunPictures } from '../pictures/queries.js';
import { WORDS } from '../words.js';
import { useRecord } from './acts.js';
import type { Standing } from './bench.js';
import { ControlSheet } from './ControlSheet.js';
import { ReasonSheet } from './ReasonSheet.js';
import { BENCH } from './words.js';

const words = BENCH.subjects;

/** What is on the run: specimens and slides with their identity, controls with their readings. */
export function Subjects({ run }: { run: Standing }) {
  const { may } = useSession();
  const record = useRecord();
  const [asked, setAsked] = useState<{ about: 'identity' | 'spoiled' | 'reading' | 'picture'; subject: string } | null>(
    null,
  );
  const { data: pictures } = useRunPictures(run.id);
  const { events } = run.state;
  const confirmed = new Set(eventsOf(events, 'identity-confirmed').map(({ data }) => data.subject));
  const spoiled = new Map(eventsOf(events, 'subject-spoiled').map(({ data }) => [data.subject, data.what]));
  const readings = controlReadings(events);
  const requirements = run.view.controls;
  const acting = may('technician', 'releaser');
  const about = run.subjects.find(({ subjectId }) => subjectId === asked?.subject);
  const close = (): void => setAsked(null);
  return (
    <ul className="subjects">
      {run.subjects.map(({ subjectId, label, description, role, control }) => {
        const what = spoiled.get(subjectId);
        const reading = readings.get(subjectId);
        const kind = requirements.find(({ id }) => id === control)?.kind ?? control;
        const taken = pictures?.pictures.filter((each) => each.subjectId === subjectId).length ?? 0;
        return (
          <li key={subjectId}>
            <p>
              <strong className="label">{shortLabel(label)}</strong>{' '}
              {role === 'control' && `${words.control(kind ?? '')} · `}
              {description}
            </p>
            {role === 'patient' && confirmed.has(subjectId) && <p className="small mark-done">{words.confirm}</p>}
            {role === 'control' && (
              <p className="small">
                {reading
                  ? `${reading.data.observed} · ${reading.data.passed ? BENCH.control.asExpected : BENCH.control.notAsExpected}`
                  : BENCH.control.unread}
              </p>
            )}
            {taken > 0 && <p className="small">{words.pictures(taken)}</p>}
            {what && <p className="held-note">{words.spoiled(what)}</p>}
            {acting && (
              <div className="line-ways">
                {role === 'patient' && !confirmed.has(subjectId) && (
                  <Button look="main" onPress={() => setAsked({ about: 'identity', subject: subjectId })}>
                    {words.confirmAsk}
                  </Button>
                )}
                {role === 'control' && (
                  <Button onPress={() => setAsked({ about: 'reading', subject: subjectId })}>
                    {BENCH.control.read}
                  </Button>
                )}
                {role === 'patient' && (
                  <Button look="quiet" onPress={() => setAsked({ about: 'picture', subject: subjectId })}>
                    {words.picture}
                  </Button>
                )}
                {!what && (
                  <Button look="quiet" onPress={() => setAsked({ about: 'spoiled', subject: subjectId })}>
                    {words.spoil}
                  </Button>
                )}
              </div>
            )}
          </li>
        );
      })}
      {about && asked?.about === 'reading' && <ControlSheet run={run} subjectId={about.subjectId} onClose={close} />}
      {about && asked?.about === 'picture' && <PictureSheet runId={run.id} subjects={[about]} onClose={close} />}
      {about && asked?.about === 'identity' && (
        <IdentitySheet
          subjectId={about.subjectId}
          label={about.label}
          onClose={close}
          onConfirm={() => record(run.id, 'identity-confirmed', { subject: about.subjectId })}
        />
      )}
      {about && asked?.about === 'spoiled' && (
        <ReasonSheet
          title={words.spoilTitle(shortLabel(about.label))}
          text={words.spoilHelp}
          field={words.spoilField}
          action={words.spoilAction}
          onReason={(reason) => record(run.id, 'subject-spoiled', { subject: about.subjectId, what: reason })}
          onClose={close}
        />
      )}
    </ul>
  );
}

/** Shows what identifiers are kept, and takes the statement that two of them fit. */
export function IdentitySheet({
  subjectId,
  label,
  onConfirm,
  onClose,
}: {
  subjectId: string;
  label: string;
  onConfirm: () => void;
  onClose: () => void;
}) {
  const [compared, setCompared] = useState(false);
  const { data, error } = useQuery({
    queryKey: ['specimens', subjectId],
    queryFn: () => got(api.GET('/api/subjects/{id}', { params: { path: { id: subjectId } } })),
    // Who the patient is stays in this page no longer than it is shown.
    gcTime: 0,
  });
  const identifiers = data?.identifiers?.filter(({ value }) => value !== null) ?? [];
  return (
    <Sheet title={words.confirmTitle(shortLabel(label))} onClose={onClose} closeWord={WORDS.cancel}>
      <p>{words.confirmHelp}</p>
      <ProblemNote problem={error} />
      {identifiers.length > 0 && (
        <dl className="identifiers">
          {identifiers.map(({ kind, value }) => (
            <div key={kind}>
              <dt>{kind}</dt>
              <dd>{value}</dd>
            </div>
          ))}
        </dl>
      )}
      {data && identifiers.length === 0 && <p>{words.noIdentifiers}</p>}
      <Tick on={compared} onChange={setCompared}>
        {words.confirmTwo}
      </Tick>
      <Button
        look="bench"
        isDisabled={!compared}
        onPress={() => {
          onConfirm();
          onClose();
        }}
      >
        {words.confirmAction}
      </Button>
    </Sheet>
  );
}
