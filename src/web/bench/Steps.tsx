import { useState } from 'react';
import type { Step } from '../../core/protocol/protocol.js';
import { gapWindow } from '../../core/protocol/windows.js';
import { actionsOf, type NextAction, passedMs } from '../../core/run/next.js';
import type { Performance, StepState } from '../../core/run/state.js';
import { useSession } from '../app/session.js';
import { Button } from '../parts/Button.js';
import { Tick } from '../parts/Choice.js';
import { useFolding } from '../parts/folding.js';
import { spanText } from '../parts/format.js';
import { Thumbnail } from '../parts/PictureField.js';
import { benchClock } from '../parts/ticker.js';
import { PictureSheet } from '../pictures/PictureSheet.js';
import { useRunPictures } from '../pictures/queries.js';
import { type Standing, useCatalogue } from './bench.js';
import { Ruler } from './Ruler.js';
import { TemperatureSheet } from './TemperatureSheet.js';
import { Running, useCountdown } from './Timer.js';
import type { OnAct } from './useActs.js';
import { BENCH, isProposal, stepName, strength } from './words.js';

const words = BENCH.steps;

/** Every step with its window, what was done, what runs and what comes. */
export function Steps({ run, onAct }: { run: Standing; onAct: OnAct }) {
  const actions = actionsOf(run);
  const [full, setFull] = useState(false);
  return (
    <>
      <Tick on={full} onChange={setFull}>
        {words.full}
      </Tick>
      <ol className="steps">
        {run.state.steps.map((state) => (
          <StepLine
            key={state.step.id}
            full={full}
            run={run}
            state={state}
            action={actions.find(({ step }) => step?.id === state.step.id) ?? null}
            onAct={onAct}
          />
        ))}
      </ol>
    </>
  );
}

function StepLine({
  full,
  run,
  state: { step, performances },
  action,
  onAct,
}: {
  full: boolean;
  run: Standing;
  state: StepState;
  action: NextAction | null;
  onAct: OnAct;
}) {
  const { name } = useCatalogue();
  const { may } = useSession();
  const last = performances.at(-1);
  const standing = last ? (last.ended ? 'done' : 'running') : action ? 'next' : 'to-come';
  const gap = gapWindow(step)?.maxMs;
  return (
    <li className={`step step-${standing}`}>
      <div className="step-what">
        <p className="step-action">{step.action}</p>
        {standing !== 'done' && (step.reagent !== undefined || step.concentration) && (
          <p className="step-with">
            {step.reagent && <strong>{name(step.reagent)}</strong>}{' '}
            {full ? step.concentration?.text : strength(step, step.reagent ? name(step.reagent) : '')} · {step.vessel}
          </p>
        )}
        {(full || standing !== 'done') && (
          <p className="small">
            {words.window(step)} · {step.end === 'eye' ? BENCH.byEye : BENCH.byClock}
            {step.critical && ` · ${BENCH.critical}`}
            {step.dips !== undefined && ` · ${words.dips(step.dips)}`}
            {step.optional && ` · ${words.optional}`}
            {gap != null && ` · ${words.gap(gap)}`}
            {isProposal(step.time.status) && ` · ${words.proposal}`}
          </p>
        )}
        {(full || action) && (
          <>
            {step.agitation && <p className="small">{step.agitation}</p>}
            {step.note && <p className="small">{step.note}</p>}
          </>
        )}
        {performances.map((performance) => (
          <Performed key={performance.started.eventId} performance={performance} people={run.view.people} />
        ))}
        <StepPictures runId={run.id} stepId={step.id} />
      </div>
      {may('technician', 'releaser') && !run.state.abandoned && (
        <div className="step-do">
          {action && <StepTimer action={action} onAct={onAct} />}
          <More run={run} step={step} standing={standing} onAct={onAct} />
        </div>
      )}
    </li>
  );
}

function StepTimer({ action, onAct }: { action: NextAction; onAct: OnAct }) {
  const { phase, word, text } = useCountdown(action);
  return (
    <div className={`step-timer phase-${phase}`}>
      {action.since && (
        <p>
          {phase !== 'open' && <span className="phase-word">{BENCH.phase[phase]}</span>} {BENCH.countdown[word]}{' '}
          <span className="figures line-count">{text}</span>
        </p>
      )}
      <Ruler action={action} />
      <Button look={phase === 'early' ? 'bench-wait' : 'bench'} onPress={() => onAct(action, benchClock.now())}>
        {BENCH.press[action.kind]}
      </Button>
    </div>
  );
}

/** What was photographed at a step. */
function StepPictures({ runId, stepId }: { runId: string; stepId: string }) {
  const { data } = useRunPictures(runId);
  const taken = data?.pictures.filter(({ step }) => step === stepId) ?? [];
  if (taken.length === 0) return null;
  return (
    <div className="step-pictures">
      {taken.map(({ id, file }) => (
        <Thumbnail key={id} file={file} />
      ))}
    </div>
  );
}

function Performed({
  performance: { started, ended },
  people,
}: {
  performance: Performance;
  people: Record<string, string>;
}) {
  const { format } = useSession();
  if (!ended) {
    return (
      <p className="step-done">
        {BENCH.countdown.running} <Running since={started.stamp} />, {words.running(format.clock(started.stamp.at))}
      </p>
    );
  }
  const took = spanText(Math.max(passedMs(started.stamp, ended.stamp), 0));
  return (
    <p className="step-done">
      {words.took(took, format.clock(started.stamp.at), format.clock(ended.stamp.at))}
      {ended.judgedBy && `, ${words.judgedBy(people[ended.judgedBy] ?? ended.judgedBy)}`}
    </p>
  );
}

/** What is done seldom stands out of the way: again, out of order, a temperature. */
function More({
  run,
  step,
  standing,
  onAct,
}: {
  run: Standing;
  step: Step;
  standing: 'done' | 'running' | 'next' | 'to-come';
  onAct: OnAct;
}) {
  const [asked, setAsked] = useState<'temperature' | 'picture' | null>(null);
  const { ref, fold } = useFolding();
  const ask = (about: typeof asked): void => {
    fold();
    setAsked(about);
  };
  const close = (): void => setAsked(null);
  const startable = standing === 'done' || standing === 'to-come';
  const seen = standing === 'done' || standing === 'running';
  if (!startable && !seen && !step.temperature) return null;
  const start = (): void => {
    fold();
    onAct(
      {
        runId: run.id,
        kind: 'start',
        step,
        subject: null,
        since: null,
        minMs: null,
        targetMs: null,
        maxMs: null,
        from: null,
        target: null,
        by: null,
        planned: null,
      },
      benchClock.now(),
    );
  };
  return (
    <details ref={ref} className="step-more">
      <summary aria-label={`${words.more}: ${stepName(step)}`}>···</summary>
      <div className="step-more-ways">
        {startable && <Button onPress={start}>{standing === 'done' ? words.again : words.outOfOrder}</Button>}
        {step.temperature && <Button onPress={() => ask('temperature')}>{words.temperature}</Button>}
        {seen && <Button onPress={() => ask('picture')}>{words.picture}</Button>}
      </div>
      {asked === 'temperature' && <TemperatureSheet run={run} step={step} onClose={close} />}
      {asked === 'picture' && (
        <PictureSheet
          runId={run.id}
          subjects={run.subjects}
          step={{ id: step.id, name: stepName(step) }}
          onClose={close}
        />
      )}
    </details>
  );
}
