import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import type { PointJudgement } from '../../core/gate/judge.js';
import { holding } from '../../core/release/release.js';
import { effectiveEvents, eventsOf } from '../../core/run/state.js';
import type { RunView } from '../../core/run/view.js';
import { api, faultIn, got, once, Problem } from '../api.js';
import type { NewRelease, Release, ReleaseKind } from '../api.paths.js';
import { useGateText } from '../bench/gateText.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { shortLabel } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { Signing } from '../parts/Signing.js';
import { WORDS } from '../words.js';
import { ruleTitle, WeightMark } from './FindingList.js';
import { RELEASE } from './words.js';

const words = RELEASE.form;

const KINDS: readonly ReleaseKind[] = ['stained material', 'adequacy', 'preliminary impression'];

/** What leaves, in which words, under whose signature; refused as long as the gate holds it. */
export function ReleaseSheet({
  run,
  subjectId,
  label,
  point,
  released,
  amends,
  onClose,
}: {
  run: RunView;
  subjectId: string;
  label: string;
  point: PointJudgement;
  /** Kinds that left here already. */
  released: readonly ReleaseKind[];
  /** The release that this one will amend. */
  amends: Release | null;
  onClose: () => void;
}) {
  const queries = useQueryClient();
  const said = useGateText();
  const usual = run.revision.content.setting === 'bedside' ? 'adequacy' : 'stained material';
  const [kind, setKind] = useState<ReleaseKind | null>(amends?.kind ?? (released.includes(usual) ? null : usual));
  const [text, setText] = useState(amends?.words ?? '');
  const [answer, setAnswer] = useState<string | null>(null);
  const [place, setPlace] = useState('');
  const [second, setSecond] = useState({ reason: '', secondLogin: '', secondPassword: '' });
  const over = point.verdict === 'held';
  const [password, setPassword] = useState('');
  const send = useChange(
    (body: NewRelease, key) =>
      got(api.POST('/api/runs/{id}/releases', { params: { path: { id: run.id } }, body, ...once(key) })),
    async (release) => {
      say(words.done(words.kinds[release.kind].name, shortLabel(label)));
      onClose();
      await queries.invalidateQueries({ queryKey: ['runs'] });
    },
  );
  const subject = run.subjects.find((each) => each.subjectId === subjectId);
  const spoken = eventsOf(effectiveEvents(run.events), 'answered').flatMap(({ id, data }) => {
    const said = run.words[data.words];
    return data.subject === subjectId && data.point === point.point && said !== undefined ? [{ id, said }] : [];
  });
  const refused = send.error instanceof Problem ? holding(send.error.findings) : [];
  const what = `${shortLabel(label)}: ${point.title}`;
  const needsWords = kind !== 'stained material';
  const ready =
    kind !== null &&
    password !== '' &&
    (!needsWords || text.trim() !== '') &&
    (!over || Object.values(second).every((each) => each.trim() !== ''));
  return (
    <Sheet
      title={amends ? words.amend.title(what) : over ? words.exception.title(what) : what}
      onClose={onClose}
      closeWord={words.cancel}
    >
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (!ready) return;
          send.ask({
            subjectId,
            point: point.point,
            kind,
            ...(text.trim() !== '' && { words: text.trim() }),
            ...(amends && { amends: amends.id }),
            ...(answer !== null && { answer }),
            ...(place.trim() !== '' && { place: place.trim() }),
            ...(over && { exception: second }),
            password,
          });
        }}
      >
        {subject && <p>{subject.description}</p>}
        {amends && <p>{words.amend.about}</p>}
        {over && (
          <>
            <p>{words.exception.about}</p>
            <ul className="held-by">
              {holding(point.findings).map((finding) => (
                <li key={finding.id}>
                  <WeightMark finding={finding} /> {said(finding.what)}
                </li>
              ))}
            </ul>
          </>
        )}
        <Choice
          label={words.kind}
          options={KINDS.map((id) => ({
            id,
            ...words.kinds[id],
            off: amends ? id !== amends.kind : released.includes(id),
          }))}
          value={kind}
          onChange={setKind}
        />
        <Field
          label={needsWords ? words.words : words.wordsNone}
          help={words.wordsHelp}
          value={text}
          onChange={setText}
          lines={3}
          isRequired={needsWords}
        />
        {spoken.map(({ id, said }) => (
          <p key={id} className="spoken">
            <span>
              {words.spoken} “{said}”
            </span>
            <Button
              onPress={() => {
                setText(said);
                setAnswer(id);
              }}
            >
              {words.useSpoken}
            </Button>
          </p>
        ))}
        <Field label={words.place} help={words.placeHelp} value={place} onChange={setPlace} />
        {over && (
          <Field
            label={words.exception.reason}
            help={words.exception.reasonHelp}
            lines={2}
            value={second.reason}
            onChange={(reason) => setSecond((known) => ({ ...known, reason }))}
            isRequired
          />
        )}
        <Signing
          meaning="release"
          password={password}
          error={faultIn(send.error, 'password')}
          onPassword={setPassword}
        />
        {over && (
          <fieldset className="second">
            <legend>{words.exception.second}</legend>
            <Field
              label={words.exception.login}
              error={faultIn(send.error, 'exception.secondLogin')}
              value={second.secondLogin}
              onChange={(secondLogin) => setSecond((known) => ({ ...known, secondLogin }))}
              autoComplete="off"
              isRequired
            />
            <Field
              label={words.exception.password}
              type="password"
              error={faultIn(send.error, 'exception.secondPassword')}
              value={second.secondPassword}
              onChange={(secondPassword) => setSecond((known) => ({ ...known, secondPassword }))}
              autoComplete="off"
              isRequired
            />
          </fieldset>
        )}
        {refused.length > 0 ? (
          <div className="problem" role="alert">
            <p className="problem-title">{words.refused}</p>
            <ul>
              {refused.map((finding) => (
                <li key={finding.id}>
                  <WeightMark finding={finding} /> <strong>{ruleTitle(finding.rule)}</strong>: {said(finding.what)}{' '}
                  {finding.mend}
                </li>
              ))}
            </ul>
          </div>
        ) : (
          <ProblemNote problem={send.error} />
        )}
        <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
