import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { Finding } from '../../core/gate/finding.js';
import type { Judgement, PointJudgement } from '../../core/gate/judge.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import { Button } from '../parts/Button.js';
import { Choice } from '../parts/Choice.js';
import { shortLabel } from '../parts/format.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { WORDS } from '../words.js';
import { useRecord } from './acts.js';
import type { Standing } from './bench.js';
import { useGateText } from './gateText.js';
import { ReasonSheet } from './ReasonSheet.js';
import { BENCH } from './words.js';

const words = BENCH.findings;

export function useJudgement(runId: string): { data: Judgement | undefined; error: Error | null } {
  return useQuery({
    queryKey: ['runs', runId, 'judgement'],
    queryFn: () => got(api.GET('/api/runs/{id}/judgement', { params: { path: { id: runId } } })),
  });
}

/** The gate's findings for each specimen or slide and release point; what all share is said once. */
export function Findings({ run }: { run: Standing }) {
  const { data, error } = useJudgement(run.id);
  const points = data?.subjects.flatMap(({ label, points: each }) => each.map((point) => ({ label, point }))) ?? [];
  const shared = points[0]?.point.findings.filter(({ subjectId }) => subjectId === null) ?? [];
  return (
    <>
      <p className="small">{words.help}</p>
      <ProblemNote problem={error} />
      {data && points.length === 0 && <p>{words.none}</p>}
      {points.map(({ label, point }) => (
        <PointVerdict key={`${label} ${point.point}`} label={label} point={point} />
      ))}
      <FindingList run={run} findings={shared} />
      {points.map(({ label, point }) => (
        <FindingList
          key={`${label} ${point.point}`}
          run={run}
          findings={point.findings.filter(({ subjectId }) => subjectId !== null)}
        />
      ))}
    </>
  );
}

export function PointVerdict({ label, point }: { label: string; point: PointJudgement }) {
  const held = point.verdict === 'held';
  return (
    <p className={held ? 'verdict verdict-held' : 'verdict'}>
      <strong className="label">{shortLabel(label)}</strong> {point.title}:{' '}
      <strong>{held ? words.held : words.clear}</strong>
    </p>
  );
}

function FindingList({ run, findings }: { run: Standing; findings: readonly Finding[] }) {
  if (findings.length === 0) return null;
  return (
    <ul className="findings">
      {findings.map((finding) => (
        <li key={finding.id} className={`finding finding-${finding.weight}`}>
          <FindingLine run={run} finding={finding} />
        </li>
      ))}
    </ul>
  );
}

function FindingLine({ run, finding }: { run: Standing; finding: Finding }) {
  const { format, may } = useSession();
  const text = useGateText();
  const record = useRecord();
  const [deciding, setDeciding] = useState(false);
  const { id, rule, weight, what, at, measured, against, mend, source, settled } = finding;
  const undecided = rule.endsWith('-undecided');
  return (
    <>
      <p>
        <span className="weight">{WORDS.held[weight]}</span> {text(what)}
        {settled && <em> ({words.settled})</em>}
      </p>
      <p className="small">
        {at && `${format.clock(at)} · `}
        {measured && `${words.measured} ${text(measured)} · `}
        {against && `${words.against} ${text(against)} · `}
        {source}
      </p>
      {!settled && (
        <p className="small">
          <strong>{words.mend}:</strong> {mend}
        </p>
      )}
      {!settled && may('technician', 'releaser') && (
        <div className="line-ways">
          {weight === 'caution' && (
            <Button onPress={() => record(run.id, 'acknowledged', { finding: id })}>{words.acknowledge}</Button>
          )}
          {undecided && <Button onPress={() => setDeciding(true)}>{words.decide}</Button>}
        </div>
      )}
      {deciding && <DecideSheet run={run} finding={finding} onClose={() => setDeciding(false)} />}
    </>
  );
}

function DecideSheet({ run, finding, onClose }: { run: Standing; finding: Finding; onClose: () => void }) {
  const text = useGateText();
  const record = useRecord();
  const [conforms, setConforms] = useState<'yes' | 'no'>('no');
  return (
    <ReasonSheet
      title={words.decideTitle}
      text={text(finding.what)}
      field={words.decideReason}
      action={words.decideAction}
      onReason={(reason) => record(run.id, 'resolved', { finding: finding.id, conforms: conforms === 'yes', reason })}
      onClose={onClose}
    >
      <Choice
        label={words.decide}
        options={[
          { id: 'no', name: words.decideNo },
          { id: 'yes', name: words.decideYes },
        ]}
        value={conforms}
        onChange={setConforms}
      />
    </ReasonSheet>
  );
}
