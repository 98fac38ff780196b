import { type ReactNode, useEffect, useRef, useState } from 'react';
import { eventsOf } from '../../core/run/state.js';
import { useSession } from '../app/session.js';
import { Button } from '../parts/Button.js';
import { someLabels } from '../parts/format.js';
import { PdfLink, runReportAt } from '../parts/PdfLink.js';
import { useRecord } from './acts.js';
import { hasBegun } from './ahead.js';
import { AnswerSheet } from './AnswerSheet.js';
import { type Standing, useCatalogue } from './bench.js';
import { ClearSheet } from './ClearSheet.js';
import { Findings } from './Findings.js';
import { LoadAhead } from './LoadAhead.js';
import { Log } from './Log.js';
import { ReasonSheet } from './ReasonSheet.js';
import { Steps } from './Steps.js';
import { Subjects } from './Subjects.js';
import { SupervisorSheet } from './SupervisorSheet.js';
import { Tray } from './Tray.js';
import type { OnAct } from './useActs.js';
import { BENCH } from './words.js';

/** One run with all that belongs to it. */
export function RunPanel({
  run,
  runs,
  onAct,
  onScan,
  onClose,
}: {
  run: Standing;
  /** All that goes on beside it. */
  runs: readonly Standing[];
  onAct: OnAct;
  onScan: (text: string) => void;
  /** Absent where there is no list to go back to. */
  onClose: (() => void) | null;
}) {
  const { revision, purpose, station } = run.view;
  const { abandoned } = run.state;
  const panel = useRef<HTMLElement>(null);
  const opened = onClose !== null;
  useEffect(() => {
    // Below the list on a narrow screen, above a long one on a wide screen: whoever opens a run wants to see where it begins.
    const top = panel.current?.getBoundingClientRect().top ?? 0;
    if (opened && (top < 0 || top > innerHeight / 2)) panel.current?.scrollIntoView({ block: 'start' });
  }, [opened]);
  return (
    <article ref={panel} className="run" aria-label={revision.content.title}>
      <header className="run-head">
        {onClose && (
          <Button look="quiet" onPress={onClose}>
            {BENCH.allRuns}
          </Button>
        )}
        <h2>{revision.content.title}</h2>
        <p className="small">
          {station} · {BENCH.purposes[purpose]} · {revision.content.expected}
        </p>
        {abandoned && <p className="held-note">{BENCH.abandon.done(abandoned.reason)}</p>}
        <Before run={run} />
        {!hasBegun(run) && !abandoned && <LoadAhead steps={revision.content.steps} runs={runs} />}
        <Cautions run={run} />
      </header>
      <div className="run-body">
        <div className="run-column">
          <Part title={BENCH.steps.title} place="steps">
            <Steps run={run} onAct={onAct} />
          </Part>
          <Part title={BENCH.more} place="more">
            <More run={run} />
          </Part>
          <Part title={BENCH.log.title} place="log">
            <Log run={run} />
          </Part>
        </div>
        <div className="run-column">
          <Part title={BENCH.subjects.title} place="subjects">
            <Subjects run={run} />
          </Part>
          <Part title={BENCH.tray.title} place="tray">
            <Tray run={run} onScan={onScan} />
          </Part>
          <Part title={BENCH.findings.title} place="findings">
            <Findings run={run} />
          </Part>
        </div>
      </div>
    </article>
  );
}

function Part({ title, place, children }: { title: string; place: string; children: ReactNode }) {
  return (
    <section className={`part part-${place}`}>
      <h3>{title}</h3>
      {children}
    </section>
  );
}

/** What a run still lacks before its steps can count. */
function Before({ run: { view, state, subjects } }: { run: Standing }) {
  const { name, fromTap } = useCatalogue();
  if (state.abandoned) return null;
  const confirmed = new Set(eventsOf(state.events, 'identity-confirmed').map(({ data }) => data.subject));
  const unknown = subjects.filter(({ role, subjectId }) => role === 'patient' && !confirmed.has(subjectId));
  const standing = new Set(state.tray.map(({ reagent }) => reagent));
  const wanted = new Set(view.revision.content.steps.flatMap(({ reagent }) => reagent ?? []));
  const unscanned = [...wanted].filter((reagent) => !standing.has(reagent) && !fromTap(reagent));
  const said = [
    unknown.length > 0 ? BENCH.before.identity(someLabels(unknown.map(({ label }) => label))) : null,
    unscanned.length > 0 ? BENCH.before.bottles(unscanned.map(name).join(', ')) : null,
  ].filter((each) => each !== null);
  if (said.length === 0) return null;
  return (
    <p className="held-note">
      <strong>{BENCH.before.title}:</strong> {said.join('; ')}.
    </p>
  );
}

function Cautions({ run }: { run: Standing }) {
  const { cautions } = run.view.revision.content;
  if (cautions.length === 0) return null;
  return (
    <details className="cautions">
      <summary>{BENCH.steps.caution}</summary>
      <ul>
        {cautions.map(({ agent, codes, signal, advice }) => (
          <li key={agent}>
            {signal !== 'none' && <strong>{signal}: </strong>}
            {agent}
            {codes.length > 0 && ` (${codes.join(', ')})`}
            {advice && `. ${advice}`}
          </li>
        ))}
      </ul>
    </details>
  );
}

type Asked = 'answer' | 'note' | 'supervisor' | 'abandon' | 'clear';

function More({ run }: { run: Standing }) {
  const { may } = useSession();
  const record = useRecord();
  const [asked, setAsked] = useState<Asked | null>(null);
  const close = (): void => setAsked(null);
  if (!may('technician', 'releaser')) return null;
  const { abandoned, running } = run.state;
  const spoken = run.view.purpose === 'patients' && run.view.revision.content.setting === 'bedside';
  return (
    <div className="ways">
      {spoken && <Button onPress={() => setAsked('answer')}>{BENCH.answer.open}</Button>}
      <Button onPress={() => setAsked('note')}>{BENCH.note.open}</Button>
      <Button onPress={() => setAsked('supervisor')}>{BENCH.supervisor.open}</Button>
      <PdfLink href={runReportAt(run.id)}>{BENCH.report}</PdfLink>
      {(abandoned || running.length === 0) && <Button onPress={() => setAsked('clear')}>{BENCH.clear.open}</Button>}
      {!abandoned && (
        <Button look="quiet" onPress={() => setAsked('abandon')}>
          {BENCH.abandon.open}
        </Button>
      )}
      {asked === 'answer' && <AnswerSheet run={run} onClose={close} />}
      {asked === 'supervisor' && <SupervisorSheet run={run} onClose={close} />}
      {asked === 'clear' && <ClearSheet run={run} onClose={close} />}
      {asked === 'note' && (
        <ReasonSheet
          title={BENCH.note.title}
          field={BENCH.note.field}
          help={BENCH.note.help}
          action={BENCH.note.action}
          least={1}
          onReason={(text) => record(run.id, 'noted', { text })}
          onClose={close}
        />
      )}
      {asked === 'abandon' && (
        <ReasonSheet
          title={BENCH.abandon.title}
          text={BENCH.abandon.text}
          field={BENCH.abandon.field}
          action={BENCH.abandon.action}
          onReason={(reason) => record(run.id, 'abandoned', { reason })}
          onClose={close}
        />
      )}
    </div>
  );
}
