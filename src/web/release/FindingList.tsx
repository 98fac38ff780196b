import { useState } from 'react';
import { Form } from 'react-aria-components';
import type { Finding } from '../../core/gate/finding.js';
import { type Rule, type RuleCode, RULES } from '../../core/gate/rules.js';
import { eventsOf, type RunState } from '../../core/run/state.js';
import type { RunView } from '../../core/run/view.js';
import { useSession } from '../app/session.js';
import { useRecord } from '../bench/acts.js';
import { useGateText } from '../bench/gateText.js';
import { OpenDeviation } from '../deviations/OpenDeviation.js';
import { Button } from '../parts/Button.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { shortLabel } from '../parts/format.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { AttestSheet } from './AttestSheet.js';
import { LostDeviceSheet } from './LostDeviceSheet.js';
import { TissueSheet } from './TissueSheet.js';
import { RELEASE } from './words.js';

const words = RELEASE.findings;

/** Rules that later words on the tissue's times may settle. */
const OF_TISSUE = ['tissue-times-unknown', 'cold-ischaemia-long', 'fixation-short', 'fixation-long', 'fixative-other'];

/** Where on the page a finding stands. */
export function findingAnchor(id: string): string {
  return `finding-${encodeURIComponent(id)}`;
}

/** The rule's title; a rule that this page does not know yet goes by its code. */
export function ruleTitle(code: string): string {
  return ruleOf(code)?.title ?? code;
}

function ruleOf(code: string): Rule | undefined {
  return code in RULES ? RULES[code as RuleCode] : undefined;
}

/** A weight by word and by shape: a full square stops, a double frame asks, a dotted one tells. */
export function WeightMark({ finding: { weight, settled } }: { finding: Pick<Finding, 'weight' | 'settled'> }) {
  return (
    <span className={settled ? 'weight-mark weight-settled' : `weight-mark weight-${weight}`}>
      {words.weights[weight]}
      {settled && ` · ${words.settled}`}
    </span>
  );
}

/** Every finding in full, with what a person can do about it. */
export function FindingList({ run, state, findings }: { run: RunView; state: RunState; findings: readonly Finding[] }) {
  if (findings.length === 0) return <p>{words.none}</p>;
  return (
    <ul className="found">
      {findings.map((finding) => (
        <li key={finding.id} id={findingAnchor(finding.id)} className={finding.settled ? 'found-settled' : undefined}>
          <Found run={run} state={state} finding={finding} />
        </li>
      ))}
    </ul>
  );
}

function Found({ run, state, finding }: { run: RunView; state: RunState; finding: Finding }) {
  const { format, may } = useSession();
  const text = useGateText();
  const record = useRecord();
  const [deciding, setDeciding] = useState(false);
  const [timing, setTiming] = useState(false);
  const [losing, setLosing] = useState(false);
  const [attesting, setAttesting] = useState(false);
  const { id, rule, weight, subjectId, what, at, measured, against, mend, source, excusable, settled } = finding;
  const subject = run.subjects.find((each) => each.subjectId === subjectId);
  const said = useSaid(run, state, id);
  const facts = [
    [words.when, at && format.toTheSecond(at)],
    [words.measured, measured && text(measured)],
    [words.against, against && text(against)],
    [words.source, source],
  ].filter((fact): fact is [string, string] => Boolean(fact[1]));
  return (
    <>
      <p className="found-head">
        <WeightMark finding={finding} /> <strong>{ruleTitle(rule)}</strong>
        <span className="small">
          {subject === undefined ? words.onRun : words.on(shortLabel(subject.label))} · <code>{rule}</code>
        </span>
      </p>
      <p>{text(what)}</p>
      <dl className="facts found-facts">
        {facts.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
      {said.map((line) => (
        <p key={line} className="small">
          {line}
        </p>
      ))}
      {!settled && (
        <p>
          <strong>{words.mend}:</strong> {mend}
        </p>
      )}
      {!settled && excusable === false && <p className="small">{words.neverExcused}</p>}
      <OpenDeviation from={{ subject: 'finding', subjectId: run.id, findingId: id }} about={ruleTitle(rule)} />
      {!settled && may('technician', 'releaser') && (
        <div className="found-ways">
          {weight === 'caution' && (
            <Button onPress={() => record(run.id, 'acknowledged', { finding: id })}>{words.acknowledge}</Button>
          )}
          {OF_TISSUE.includes(rule) && subjectId !== null && (
            <Button onPress={() => setTiming(true)}>{words.tissue.open}</Button>
          )}
          {rule === 'identity-unconfirmed' && subject?.irreplaceable && (
            <Button onPress={() => setAttesting(true)}>{RELEASE.attestation.open}</Button>
          )}
          {rule === 'device-unsent' && <Button onPress={() => setLosing(true)}>{RELEASE.lostDevice.open}</Button>}
          {rule.endsWith('-undecided') && <Button onPress={() => setDeciding(true)}>{words.decide}</Button>}
        </div>
      )}
      {deciding && <DecideSheet run={run} finding={finding} onClose={() => setDeciding(false)} />}
      {attesting && subject && <AttestSheet runId={run.id} subject={subject} onClose={() => setAttesting(false)} />}
      {losing && (
        <LostDeviceSheet runId={run.id} device={id.slice(`${rule}:`.length)} onClose={() => setLosing(false)} />
      )}
      {timing && subjectId !== null && <TissueSheet subjectId={subjectId} onClose={() => setTiming(false)} />}
    </>
  );
}

/** What people said about a finding, in words. */
function useSaid(run: RunView, state: RunState, id: string): string[] {
  const { format } = useSession();
  const who = (personId: string): string => run.people[personId] ?? personId;
  return [
    ...eventsOf(state.events, 'acknowledged')
      .filter(({ data }) => data.finding === id)
      .map(({ personId, stamp, data }) =>
        words.settledBy(who(personId), format.dayAndClock(stamp.at), data.reason ?? ''),
      ),
    ...eventsOf(state.events, 'resolved')
      .filter(({ data }) => data.finding === id)
      .map(({ personId, stamp, data }) =>
        (data.conforms ? words.settledBy : words.resolvedAgainst)(
          who(personId),
          format.dayAndClock(stamp.at),
          data.reason,
        ),
      ),
  ];
}

function DecideSheet({ run, finding, onClose }: { run: RunView; finding: Finding; onClose: () => void }) {
  const text = useGateText();
  const record = useRecord();
  const [conforms, setConforms] = useState<'yes' | 'no' | null>(null);
  const [reason, setReason] = useState('');
  const ready = conforms !== null && reason.trim().length >= 3;
  return (
    <Sheet title={words.sheet.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (!ready) return;
          record(run.id, 'resolved', { finding: finding.id, conforms: conforms === 'yes', reason: reason.trim() });
          onClose();
        }}
      >
        <p>{text(finding.what)}</p>
        <p className="small">
          {[finding.measured, finding.against && `${words.against}: ${finding.against}`]
            .flatMap((fact) => (fact ? [text(fact)] : []))
            .join(' · ')}
        </p>
        <Choice
          label={words.sheet.question}
          options={[
            { id: 'yes', ...words.sheet.yes },
            { id: 'no', ...words.sheet.no },
          ]}
          value={conforms}
          onChange={setConforms}
        />
        <Field
          label={words.sheet.reason}
          help={words.sheet.reasonHelp}
          value={reason}
          onChange={setReason}
          lines={2}
          isRequired
        />
        <Button look="main" type="submit" isDisabled={!ready}>
          {words.sheet.action}
        </Button>
      </Form>
    </Sheet>
  );
}
