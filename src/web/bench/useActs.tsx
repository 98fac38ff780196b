import { type ReactNode, useState } from 'react';
import type { Step } from '../../core/protocol/protocol.js';
import type { BenchStamp } from '../../core/run/events.js';
import { type NextAction, passedMs, phaseAt } from '../../core/run/next.js';
import { useSession } from '../app/session.js';
import { Button } from '../parts/Button.js';
import { spanText } from '../parts/format.js';
import { PedalButton } from '../parts/PedalButton.js';
import { Sheet } from '../parts/Sheet.js';
import { useRecord } from './acts.js';
import type { Standing } from './bench.js';
import { ClearSheet } from './ClearSheet.js';
import { ControlSheet } from './ControlSheet.js';
import { BENCH, stepName } from './words.js';

/** Does an action, dated by the moment of the press. */
export type OnAct = (action: NextAction, stamp: BenchStamp) => void;

interface Asked {
  about: 'too early' | 'whose eye' | 'out of order' | 'reading' | 'clearing';
  run: Standing;
  action: NextAction;
  /** When the person pressed, which is when it happened, however long the question takes. */
  stamp: BenchStamp;
}

/** Does what a person presses for, asking first only where one press could do harm or says too little. */
export function useActs(runs: readonly Standing[]): { act: OnAct; sheet: ReactNode } {
  const [asked, setAsked] = useState<Asked | null>(null);
  const record = useRecord();

  const act: OnAct = (action, stamp) => {
    const run = runs.find(({ id }) => id === action.runId);
    if (!run) return;
    const about = questionOf(action, run, stamp);
    if (about !== null) setAsked({ about, run, action, stamp });
    else if (action.step && action.kind === 'start') start(run, action.step, stamp);
    else if (action.step) end(run, action.step, stamp);
  };

  function start(run: Standing, step: Step, stamp: BenchStamp): void {
    const again = run.state.steps.some((each) => each.step.id === step.id && each.performances.length > 0);
    const said = BENCH.recorded(BENCH.log.kinds['step-started'], stepName(step));
    record(run.id, 'step-started', { step: step.id, ...(again && { again }) }, { stamp, said });
  }

  function end(run: Standing, step: Step, stamp: BenchStamp, judgedBy?: string): void {
    const said = BENCH.recorded(BENCH.log.kinds['step-ended'], stepName(step));
    record(run.id, 'step-ended', { step: step.id, ...(judgedBy !== undefined && { judgedBy }) }, { stamp, said });
  }

  const done = (): void => setAsked(null);
  function question({ about, run, action, stamp }: Asked): ReactNode {
    const { step } = action;
    if (about === 'reading') return <ControlSheet run={run} subjectId={action.subject ?? ''} onClose={done} />;
    if (about === 'clearing') return <ClearSheet run={run} onClose={done} />;
    if (!step) return null;
    const then = (does: () => void) => (): void => {
      done();
      does();
    };
    const byEye = step.end === 'eye';
    if (about === 'too early') {
      return (
        <TooEarly
          action={action}
          stamp={stamp}
          onGoOn={done}
          onEnd={byEye ? () => setAsked({ about: 'whose eye', run, action, stamp }) : then(() => end(run, step, stamp))}
        />
      );
    }
    if (about === 'whose eye') {
      return (
        <WhoseEye
          run={run}
          step={step}
          stamp={stamp}
          onNotYet={done}
          onJudged={(who) => then(() => end(run, step, stamp, who))()}
        />
      );
    }
    return <OutOfOrder run={run} step={step} onGoBack={done} onStart={then(() => start(run, step, stamp))} />;
  }
  return { act, sheet: asked && question(asked) };
}

function questionOf(action: NextAction, { state }: Standing, stamp: BenchStamp): Asked['about'] | null {
  const { kind, step, since } = action;
  if (kind === 'read-control') return 'reading';
  if (kind === 'clear') return 'clearing';
  if (kind === 'start') {
    const skipped = state.steps.slice(
      state.next?.index ?? 0,
      state.steps.findIndex((each) => each.step.id === step?.id),
    );
    const inOrder =
      state.running.length === 0 && skipped.every((each) => each.step.optional || each.performances.length > 0);
    const behind = state.next !== null && state.steps.findIndex((each) => each.step.id === step?.id) < state.next.index;
    return inOrder && !behind ? null : 'out of order';
  }
  if (since && phaseAt(action, passedMs(since, stamp)) === 'early') return 'too early';
  return step?.end === 'eye' ? 'whose eye' : null;
}

function TooEarly({
  action,
  stamp,
  onGoOn,
  onEnd,
}: {
  action: NextAction;
  stamp: BenchStamp;
  onGoOn: () => void;
  onEnd: () => void;
}) {
  const { format } = useSession();
  const { step, since, minMs } = action;
  if (!step || !since || minMs === null) return null;
  return (
    <Sheet title={BENCH.early.title(stepName(step))} urgent>
      <p>{BENCH.early.text(format.clock(stamp.at), spanText(minMs - passedMs(since, stamp)))}</p>
      <div className="ways">
        <PedalButton takesFocus onAct={onGoOn}>
          {BENCH.early.goOn}
        </PedalButton>
        <Button onPress={onEnd}>{BENCH.early.end}</Button>
      </div>
    </Sheet>
  );
}

function WhoseEye({
  run,
  step,
  stamp,
  onNotYet,
  onJudged,
}: {
  run: Standing;
  step: Step;
  stamp: BenchStamp;
  onNotYet: () => void;
  onJudged: (personId: string) => void;
}) {
  const { person, format } = useSession();
  const others = Object.entries(run.view.people).filter(([id]) => id !== person.id);
  return (
    <Sheet title={BENCH.eye.title(stepName(step))} onClose={onNotYet} closeWord={BENCH.eye.notYet}>
      <p>{BENCH.eye.at(format.clock(stamp.at))}</p>
      <div className="ways">
        <PedalButton takesFocus onAct={() => onJudged(person.id)}>
          {BENCH.eye.me}
        </PedalButton>
        {others.map(([id, name]) => (
          <Button key={id} onPress={() => onJudged(id)}>
            {BENCH.eye.other(name)}
          </Button>
        ))}
      </div>
    </Sheet>
  );
}

function OutOfOrder({
  run,
  step,
  onGoBack,
  onStart,
}: {
  run: Standing;
  step: Step;
  onGoBack: () => void;
  onStart: () => void;
}) {
  const next = run.state.running[0]?.step ?? run.state.next?.step;
  return (
    <Sheet title={BENCH.order.title(stepName(step))} urgent>
      {next && <p>{BENCH.order.text(stepName(next))}</p>}
      <div className="ways">
        <PedalButton takesFocus onAct={onGoBack}>
          {BENCH.order.goBack}
        </PedalButton>
        <Button onPress={onStart}>{BENCH.order.start}</Button>
      </div>
    </Sheet>
  );
}
