import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { Release } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { Tag } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { SignatureBlock, Signing } from '../parts/Signing.js';
import { WORDS } from '../words.js';
import { WeightMark } from './FindingList.js';
import { RELEASE } from './words.js';

const words = RELEASE.after;

const FRAMES = {
  stands: 'plain',
  'in question': 'double',
  amended: 'soft',
  withdrawn: 'full',
} as const satisfies Record<Release['standing'], string>;

/** What left, under whose name, when, what the signature means, and all that stands beside it since. */
export function Released({ release, onAmend }: { release: Release; onAmend: () => void }) {
  const { format, may } = useSession();
  const [withdrawing, setWithdrawing] = useState(false);
  const { kind, standing, marks, exception, place, answerId, questions, withdrawal, findings } = release;
  return (
    <div className="released">
      <p>
        <strong>{RELEASE.signed.title(RELEASE.form.kinds[kind].name)}</strong>{' '}
        <Tag frame={FRAMES[standing]}>{words.standings[standing]}</Tag>
      </p>
      {release.words !== null && <blockquote>{release.words}</blockquote>}
      {marks.length > 0 && (
        <ul className="marks">
          {marks.map((mark) => (
            <li key={mark}>{format.within(mark)}</li>
          ))}
        </ul>
      )}
      <SignatureBlock signature={release.signature} />
      {exception && (
        <>
          <p className="small">{words.second}</p>
          <SignatureBlock signature={exception.second} />
        </>
      )}
      {place !== null && <p className="small">{words.place(place)}</p>}
      {answerId !== null && <p className="small">{words.spoken}</p>}
      {questions.map(({ lookbackId, reason, outcome }) => (
        <p key={lookbackId} className="held-note">
          <a href={`/lookbacks/${lookbackId}`}>
            {outcome === null ? words.questioned(reason) : words.answered(reason, outcome)}
          </a>
        </p>
      ))}
      {withdrawal && (
        <p className="held-note">
          {words.withdrawn(format.dayAndClock(withdrawal.at), withdrawal.reason, withdrawal.told)}
        </p>
      )}
      <p className="small">
        {RELEASE.signed.judged(release.judgedTo, release.rules)} · {RELEASE.signed.notes(findings.length)}
      </p>
      {findings.length > 0 && (
        <details>
          <summary>{RELEASE.findings.title}</summary>
          <ul className="held-by">
            {findings.map((finding) => (
              <li key={finding.id}>
                <WeightMark finding={finding} /> {format.within(finding.what)}
              </li>
            ))}
          </ul>
        </details>
      )}
      {standing !== 'withdrawn' && standing !== 'amended' && (
        <div className="row-ways">
          {may('releaser') && (
            <Button look="quiet" onPress={onAmend}>
              {RELEASE.form.amend.open}
            </Button>
          )}
          {may('releaser', 'director') && (
            <Button look="quiet" onPress={() => setWithdrawing(true)}>
              {words.withdraw.open}
            </Button>
          )}
        </div>
      )}
      {withdrawing && <WithdrawSheet release={release} onClose={() => setWithdrawing(false)} />}
    </div>
  );
}

function WithdrawSheet({ release, onClose }: { release: Release; onClose: () => void }) {
  const queries = useQueryClient();
  const [reason, setReason] = useState('');
  const [told, setTold] = useState('');
  const [password, setPassword] = useState('');
  const send = useChange(
    (body: { reason: string; told: string; password: string }, key) =>
      got(api.POST('/api/releases/{id}/withdrawal', { params: { path: { id: release.id } }, body, ...once(key) })),
    async () => {
      say(words.withdraw.done);
      onClose();
      await queries.invalidateQueries({ queryKey: ['runs'] });
    },
  );
  const ready = reason.trim() !== '' && told.trim() !== '' && password !== '';
  return (
    <Sheet title={words.withdraw.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) send.ask({ reason: reason.trim(), told: told.trim(), password });
        }}
      >
        <p>{words.withdraw.about}</p>
        <Field label={words.withdraw.reason} lines={2} value={reason} onChange={setReason} isRequired />
        <Field label={words.withdraw.told} help={words.withdraw.toldHelp} value={told} onChange={setTold} isRequired />
        <Signing meaning="responsibility" password={password} onPassword={setPassword} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
          {send.isPending ? WORDS.sending : words.withdraw.action}
        </Button>
      </Form>
    </Sheet>
  );
}
