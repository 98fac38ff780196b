import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import type { Step } from '../../core/protocol/protocol.js';
import { api, got, once } from '../api.js';
import type { RunView } from '../../core/run/view.js';
import type { PaperEntry } from '../api.paths.js';
import { navigate } from '../app/router.js';
import type { ScreenProps } from '../app/screen.js';
import { useCatalogue } from '../bench/bench.js';
import { BENCH } from '../bench/words.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { useDraft } from '../parts/draft.js';
import { Field } from '../parts/Field.js';
import { asLocal, shortLabel } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { Page, Part, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { ScanField } from '../parts/ScanField.js';
import { typedNumber } from '../parts/typed-number.js';
import { TypedTimes } from '../parts/TypedTimes.js';
import { useRun } from '../release/run.js';
import { useReagents } from '../stock/stock.js';
import { WORDS } from '../words.js';
import './paper.css';
import { EMPTY, faultOf, instant, stepsOf, type TypedStep, type TypedTray } from './typed.js';
import { PAPER } from './words.js';

const words = PAPER.entry;

/** What stands on the sheet that a run was entered from: its clock, its bottles, its steps. */
export default function EntryScreen({ run }: ScreenProps) {
  const id = run ?? '';
  const { data, error, refetch } = useRun(id);
  return (
    <Page title={words.title} above={{ href: '/paper', word: PAPER.title }} about={<p>{words.about}</p>}>
      {data ? <Entry run={data} /> : <Waiting error={error} onRetry={() => void refetch()} />}
    </Page>
  );
}

interface Typed {
  clock: { ahead: string; sure: string; stopwatch: string };
  tray: readonly TypedTray[];
  typed: Readonly<Record<string, TypedStep>>;
  said: string;
}

const EMPTY_SHEET: Typed = { clock: { ahead: '0', sure: '60', stopwatch: '1' }, tray: [], typed: {}, said: '' };

function Entry({ run }: { run: RunView }) {
  const queries = useQueryClient();
  const draft = useDraft<Typed>(`paper ${run.id}`, EMPTY_SHEET);
  const { clock, tray, typed, said } = draft.typed;
  const { steps } = run.revision.content;
  const send = useChange(
    (body: PaperEntry, key) =>
      got(api.POST('/api/runs/{id}/paper-entry', { params: { path: { id: run.id } }, body, ...once(key) })),
    async () => {
      draft.forget();
      say(words.done);
      await queries.invalidateQueries({ queryKey: ['runs'] });
      navigate(`/?run=${encodeURIComponent(run.id)}`);
    },
  );
  const lines = steps.map(({ id }) => ({ id, typed: typed[id] ?? EMPTY }));
  const numbers = [clock.ahead, clock.sure, clock.stopwatch].map((text) => typedNumber(text));
  const [aheadSec = 0, uncertaintySec = 0, stopwatchSec = 0] = numbers;
  const wrong =
    numbers.some(Number.isNaN) ||
    uncertaintySec < 0 ||
    stopwatchSec < 0 ||
    lines.some((line) => faultOf(line.typed) !== null);
  const entered = stepsOf(lines);
  const empty = entered.length === 0 && tray.length === 0;
  return (
    <div className="form">
      <Part title={words.clock}>
        <div className="paper-line">
          <Field
            label={words.ahead}
            help={words.aheadHelp}
            value={clock.ahead}
            onChange={(ahead) => draft.type({ clock: { ...clock, ahead } })}
            inputMode="decimal"
          />
          <Field
            label={words.sure}
            help={words.sureHelp}
            value={clock.sure}
            onChange={(sure) => draft.type({ clock: { ...clock, sure } })}
            inputMode="decimal"
          />
          <Field
            label={words.stopwatch}
            help={words.stopwatchHelp}
            value={clock.stopwatch}
            onChange={(stopwatch) => draft.type({ clock: { ...clock, stopwatch } })}
            inputMode="decimal"
          />
        </div>
      </Part>
      <Bottles run={run} tray={tray} onChange={(next) => draft.type({ tray: next })} />
      <Part
        title={words.steps}
        about={
          <p>
            {words.stepsHelp} <TypedTimes />
          </p>
        }
      >
        <ol className="paper-steps">
          {steps.map((step) => (
            <li key={step.id}>
              <StepFields
                step={step}
                typed={typed[step.id] ?? EMPTY}
                onChange={(to) => draft.type({ typed: { ...typed, [step.id]: to } })}
              />
            </li>
          ))}
        </ol>
      </Part>
      <Field
        label={words.words}
        help={words.wordsHelp}
        value={said}
        onChange={(next) => draft.type({ said: next })}
        lines={2}
      />
      {(wrong || empty) && <p className="small">{wrong ? words.wrong : words.missing}</p>}
      <ProblemNote problem={send.error} />
      <Form
        onSubmit={(event) => {
          event.preventDefault();
          if (wrong || empty) return;
          send.ask({
            clock: { aheadSec, uncertaintySec, stopwatchSec },
            tray: tray.map(({ reagent, container, at }) => ({ reagent, container, at: instant(at) })),
            steps: entered,
            ...(said.trim() !== '' && { words: said.trim() }),
          });
        }}
      >
        <Button look="main" type="submit" isDisabled={wrong || empty || send.isPending}>
          {send.isPending ? WORDS.sending : words.send}
        </Button>
      </Form>
    </div>
  );
}

function Bottles({
  run,
  tray,
  onChange,
}: {
  run: RunView;
  tray: readonly TypedTray[];
  onChange: (tray: readonly TypedTray[]) => void;
}) {
  const { name } = useCatalogue();
  const reagents = useReagents();
  const [fault, setFault] = useState<string | undefined>();
  const wanted = new Set(run.revision.content.steps.flatMap(({ reagent }) => reagent ?? []));
  const find = useChange(
    (text: string, key) => got(api.POST('/api/scan', { body: { text }, ...once(key) })),
    ({ container, reagent: held }, text) => {
      const reagent = [...wanted].find(
        (code) =>
          held !== undefined &&
          (code === held.code ||
            reagents.data?.find((each) => each.code === code)?.acceptedInstead?.includes(held.code) === true),
      );
      if (!container || reagent === undefined) return setFault(words.notOne(text));
      setFault(undefined);
      return onChange([
        ...tray,
        { reagent, container: container.id, label: container.label, at: asLocal(run.startedAt) },
      ]);
    },
  );
  return (
    <Part title={words.tray} about={<p>{words.trayHelp}</p>}>
      <ul className="lines">
        {tray.map((each) => (
          <li key={each.container} className="paper-line">
            <span>
              <strong>{name(each.reagent)}</strong> <span className="label">{shortLabel(each.label)}</span>
            </span>
            <Time
              label={`${words.trayAt}: ${name(each.reagent)}`}
              shown={words.trayAt}
              value={each.at}
              onChange={(at) => onChange(tray.map((one) => (one.container === each.container ? { ...one, at } : one)))}
            />
            <Button
              look="quiet"
              aria-label={`${words.remove}: ${name(each.reagent)}`}
              onPress={() => onChange(tray.filter(({ container }) => container !== each.container))}
            >
              {words.remove}
            </Button>
          </li>
        ))}
      </ul>
      <ScanField label={words.scan} action={words.take} error={fault} busy={find.isPending} onText={find.ask} />
      <ProblemNote problem={find.error} />
    </Part>
  );
}

function StepFields({ step, typed, onChange }: { step: Step; typed: TypedStep; onChange: (to: TypedStep) => void }) {
  const fault = faultOf(typed);
  return (
    <fieldset className="paper-line">
      <legend>
        {step.action} <span className="small">{BENCH.steps.window(step)}</span>
      </legend>
      <Time
        label={`${words.startedAt}: ${step.action}`}
        shown={words.startedAt}
        value={typed.startedAt}
        onChange={(startedAt) => onChange({ ...typed, startedAt })}
      />
      <Time
        label={`${words.endedAt}: ${step.action}`}
        shown={words.endedAt}
        value={typed.endedAt}
        onChange={(endedAt) => onChange({ ...typed, endedAt })}
      />
      <Field
        label={words.lasted}
        value={typed.lasted}
        onChange={(lasted) => onChange({ ...typed, lasted })}
        error={fault === null ? undefined : words[fault]}
        autoComplete="off"
      />
    </fieldset>
  );
}

function Time({
  label,
  shown,
  value,
  onChange,
}: {
  label: string;
  shown: string;
  value: string;
  onChange: (value: string) => void;
}) {
  return (
    <label className="field">
      <span>{shown}</span>
      <input
        type="datetime-local"
        step="1"
        aria-label={label}
        value={value}
        onChange={({ target }) => onChange(target.value)}
      />
    </label>
  );
}
