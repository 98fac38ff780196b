import { useRef, useState } from 'react';
import { type ContainerFacts, whyUnusable } from '../../core/lot/facts.js';
import type { BenchStamp, RunPurpose } from '../../core/run/events.js';
import type { NextAction } from '../../core/run/next.js';
import { containersFor } from '../../core/run/state.js';
import { isFocusFree } from '../parts/focus.js';
import { shortLabel, someLabels } from '../parts/format.js';
import { PedalButton } from '../parts/PedalButton.js';
import { beatNow, useBeat } from '../parts/ticker.js';
import { useSession } from '../app/session.js';
import type { OnAct } from './useActs.js';
import { type Standing, useCatalogue } from './bench.js';
import { actionTitle } from './actionTitle.js';
import { Ruler } from './Ruler.js';
import { Planned } from './Planned.js';
import { Dips, Limits, useCountdown } from './Timer.js';
import { BENCH, strength } from './words.js';

/** Id of the button that does what is next. */
export const NEXT_ACT = 'next-act';

const THEN = 3;
/** A second press within this time is the first one's bounce, of a finger or a foot. */
const BOUNCE_MS = 700;

/** What hands do next over all runs, large enough for two metres, and what comes after it. */
export function NextStrip({
  actions,
  runs,
  onAct,
  onOpen,
}: {
  actions: readonly NextAction[];
  runs: readonly Standing[];
  onAct: OnAct;
  onOpen: (runId: string) => void;
}) {
  const [first, ...rest] = actions;
  const run = runs.find(({ id }) => id === first?.runId);
  if (!first || !run) return null;
  return (
    <section className="next" aria-label={BENCH.next}>
      <First action={first} run={run} onAct={onAct} />
      {rest.length > 0 && (
        <ol className="then" aria-label={BENCH.then}>
          {rest.slice(0, THEN).map((action) => {
            const of = runs.find(({ id }) => id === action.runId);
            return (
              of && (
                <li key={`${action.runId} ${action.step?.id ?? action.kind}`}>
                  <ThenLine action={action} run={of} onOpen={() => onOpen(action.runId)} />
                </li>
              )
            );
          })}
        </ol>
      )}
    </section>
  );
}

/**
 * Whether the next act may have the focus as it comes: nothing else has it, or only the link that led here. Whoever has gone
 * on to something else would press the act with a key that was meant for that.
 */
function mayTakeFocus(): boolean {
  const at = document.activeElement;
  return isFocusFree() || (at instanceof HTMLAnchorElement && at.pathname === location.pathname);
}

function First({ action, run, onAct }: { action: NextAction; run: Standing; onAct: OnAct }) {
  const { may } = useSession();
  const { phase, word, text } = useCountdown(action);
  const pressed = useRef(Number.NEGATIVE_INFINITY);
  const [takesFocus] = useState(mayTakeFocus);
  const { step } = action;
  const patients = run.subjects.filter(({ role }) => role === 'patient');
  const subjects = patients.length > 0 ? patients : run.subjects;
  return (
    <div className={`first phase-${phase}`}>
      <div className="first-what">
        <p className="first-where">
          <strong>{run.view.station}</strong> · {run.view.revision.content.title} ·{' '}
          {someLabels(subjects.map(({ label }) => label))}
        </p>
        <h2 className="first-title">{actionTitle(action, run)}</h2>
        {step && <Hold action={action} run={run} />}
        <Limits action={action} />
        <Dips action={action} />
        <Planned action={action} />
      </div>
      <div className="first-when">
        <p className="first-word">
          {phase !== 'open' && <span className="phase-word">{BENCH.phase[phase]}</span>} {BENCH.countdown[word]}
        </p>
        {text !== '' && (
          <p className="first-count figures" role="timer">
            {text}
          </p>
        )}
      </div>
      <Ruler action={action} fine />
      {may('technician', 'releaser') && (
        <PedalButton
          look={phase === 'early' ? 'bench-wait' : 'bench'}
          id={NEXT_ACT}
          takesFocus={takesFocus}
          aria-describedby="pedal-help"
          onAct={(stamp: BenchStamp) => {
            const now = performance.now();
            if (now - pressed.current < BOUNCE_MS) return;
            pressed.current = now;
            onAct(action, stamp);
          }}
        >
          {BENCH.press[action.kind]}
        </PedalButton>
      )}
      <p id="pedal-help" className="unseen">
        {BENCH.keyHelp}
      </p>
    </div>
  );
}

/** With what, in what, from which bottle. */
function Hold({ action: { step }, run }: { action: NextAction; run: Standing }) {
  const { name, fromTap } = useCatalogue();
  if (!step) return null;
  const { reagent, vessel, action } = step;
  const now = beatNow().at;
  const standing = reagent ? containersFor(run.state.tray, step, now, now).at(0) : undefined;
  const container = run.view.containers.find(({ id }) => id === standing?.place.container);
  return (
    <>
      <p className="first-hold">
        <strong>
          {reagent && name(reagent)} {strength(step, reagent ? name(reagent) : '')}
        </strong>
        {reagent && ' · '}
        {vessel}
        {reagent && container && <Bottle container={container} reagent={reagent} purpose={run.view.purpose} />}
        {reagent && !container && !fromTap(reagent) && <> · {BENCH.noBottle}</>}
      </p>
      {actionTitle({ kind: 'start', step, subject: null }, run) !== BENCH.act.start(action) && (
        <p className="first-action">{action}</p>
      )}
    </>
  );
}

/** The bottle that stands on the tray for a step, and whether it may be used now. */
function Bottle({ container, reagent, purpose }: { container: ContainerFacts; reagent: string; purpose: RunPurpose }) {
  const usable = useBeat((now) => whyUnusable(container, reagent, now, purpose === 'patients').length === 0);
  return (
    <>
      {' '}
      · {BENCH.bottle(shortLabel(container.label))}{' '}
      {!usable && <span className="tray-missing">{BENCH.unusableOnTray}</span>}
    </>
  );
}

function ThenLine({ action, run, onOpen }: { action: NextAction; run: Standing; onOpen: () => void }) {
  const { phase, word, text } = useCountdown(action);
  return (
    <button type="button" className={`then-line phase-${phase}`} onClick={onOpen}>
      <span className="then-title">{actionTitle(action, run)}</span>
      <span className="then-where">
        {run.view.station} · {run.view.revision.content.title}
      </span>
      <span className="then-when">
        {phase !== 'open' && <span className="phase-word">{BENCH.phase[phase]}</span>} {BENCH.countdown[word]}{' '}
        <span className="figures">{text}</span>
      </span>
    </button>
  );
}
