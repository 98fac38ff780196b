import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { PLAN_TIMES, type PlanTime } from '../../core/controls/planned.js';
import { CONTROL_KINDS, type ControlKind } from '../../core/protocol/protocol.js';
import { api, got, once } from '../api.js';
import type { NewControlPlan, Plan } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Tick } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { asWords } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { Part } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { WORDS } from '../words.js';
import { CriteriaFields } from './CriteriaFields.js';
import { asDraft, nameOfClock, withCodes } from './plan.js';
import { CONTROLS_KEY } from './queries.js';
import { CONTROLS } from './words.js';

const words = CONTROLS.edit;

type Control = NewControlPlan['controls'][number];
type Clock = Control['clocks'][number];

const NEW: Control = {
  id: '',
  kind: 'positive',
  material: '',
  expected: '',
  criteria: [],
  required: true,
  clocks: [{ when: 'each day of use' }],
  secondReader: false,
  pictures: false,
};

/** Writes a plan of the laboratory's own, beginning with what counts now. */
export function PlanEditor({ plan, onClose }: { plan: Plan; onClose: () => void }) {
  const queries = useQueryClient();
  const [draft, setDraft] = useState<NewControlPlan>(() => asDraft(plan.versions[0]?.content ?? plan.counting));
  const send = useChange(
    (body: NewControlPlan, key) =>
      got(
        api.POST('/api/control-plans/{protocol}', {
          params: { path: { protocol: plan.protocolId } },
          body,
          ...once(key),
        }),
      ),
    (saved) => {
      say(words.saved);
      queries.setQueryData([CONTROLS_KEY, 'plans', plan.protocolId], saved);
      void queries.invalidateQueries({ queryKey: [CONTROLS_KEY] });
      onClose();
    },
  );
  const change = (n: number, control: Control): void =>
    setDraft({ ...draft, controls: draft.controls.map((each, place) => (place === n ? control : each)) });
  return (
    <Form
      onSubmit={(event) => {
        event.preventDefault();
        send.ask(withCodes(draft));
      }}
    >
      <Part title={words.title} about={words.about}>
        <UseFields draft={draft} atBedside={plan.setting === 'bedside'} onChange={setDraft} />
        {draft.controls.map((control, n) => (
          <ControlFields
            key={n}
            control={control}
            category={plan.category}
            own={!plan.published.controls.some(({ id }) => id === control.id)}
            floor={plan.published.controls.find(({ id }) => id === control.id)?.clocks ?? []}
            onChange={(changed) => change(n, changed)}
            onRemove={() => setDraft({ ...draft, controls: draft.controls.filter((_, place) => place !== n) })}
          />
        ))}
        <div>
          <Button onPress={() => setDraft({ ...draft, controls: [...draft.controls, structuredClone(NEW)] })}>
            {words.add}
          </Button>
        </div>
        <Field
          label={words.note}
          help={words.noteHelp}
          value={draft.note}
          onChange={(note) => setDraft({ ...draft, note })}
          lines={2}
          isRequired
        />
        <ProblemNote problem={send.error} />
        <div className="tag-line">
          <Button look="main" type="submit" isDisabled={send.isPending || draft.note.trim() === ''}>
            {send.isPending ? WORDS.sending : words.save}
          </Button>
          <Button look="quiet" onPress={onClose}>
            {WORDS.cancel}
          </Button>
        </div>
      </Part>
    </Form>
  );
}

function UseFields({
  draft,
  atBedside,
  onChange,
}: {
  draft: NewControlPlan;
  atBedside: boolean;
  onChange: (draft: NewControlPlan) => void;
}) {
  const { use } = draft;
  const set = (changes: Partial<NewControlPlan['use']>): void => onChange({ ...draft, use: { ...use, ...changes } });
  return (
    <>
      <Field
        label={words.useWords}
        help={words.useWordsHelp}
        value={use.words}
        onChange={(said) => set({ words: said })}
        lines={2}
        isRequired
      />
      {atBedside && (
        <SelectField
          label={words.useCounts}
          help={words.useCountsHelp}
          value={use.counts}
          onChange={(counts) => {
            const { hours: _none, ...rest } = use;
            onChange({ ...draft, use: { ...rest, counts, ...(counts === 'session' && { hours: 2 }) } });
          }}
          options={(Object.keys(words.counts) as (keyof typeof words.counts)[]).map((id) => ({
            id,
            name: words.counts[id],
          }))}
        />
      )}
      {use.counts === 'session' && (
        <Field
          label={words.hours}
          help={words.hoursHelp}
          type="number"
          inputMode="decimal"
          value={String(use.hours ?? '')}
          onChange={(hours) => set({ hours: Number(hours) })}
        />
      )}
    </>
  );
}

function ControlFields({
  control,
  category,
  own,
  floor,
  onChange,
  onRemove,
}: {
  control: Control;
  category: Plan['category'];
  /** The laboratory's own, which the protocol does not have. */
  own: boolean;
  floor: readonly { when: PlanTime }[];
  onChange: (control: Control) => void;
  onRemove: () => void;
}) {
  const set = (changes: Partial<Control>): void => onChange({ ...control, ...changes });
  const setClock = (n: number, clock: Clock): void =>
    set({ clocks: control.clocks.map((each, place) => (place === n ? clock : each)) });
  const left = PLAN_TIMES.filter((when) => !control.clocks.some((clock) => clock.when === when));
  const [next] = left;
  return (
    <section className="plan-edit">
      <h3>{own ? words.add : asWords(control.id)}</h3>
      {own && (
        <>
          <Field
            label={words.id}
            help={words.idHelp}
            value={control.id}
            onChange={(id) => set({ id })}
            autoComplete="off"
            isRequired
          />
          <SelectField<ControlKind>
            label={words.kind}
            help={words.kindHelp}
            value={control.kind}
            onChange={(kind) => set({ kind })}
            options={CONTROL_KINDS.map((id) => ({ id, name: CONTROLS.kinds[id] }))}
          />
        </>
      )}
      <Field
        label={words.material}
        help={words.materialHelp}
        value={control.material}
        onChange={(material) => set({ material })}
        lines={2}
        isRequired
      />
      <Field
        label={words.expected}
        help={words.expectedHelp}
        value={control.expected}
        onChange={(expected) => set({ expected })}
        lines={2}
        isRequired
      />
      {own && (
        <Tick on={control.required} onChange={(required) => set({ required })}>
          {words.required}
        </Tick>
      )}
      <Tick on={control.secondReader} onChange={(secondReader) => set({ secondReader })}>
        {words.second}
      </Tick>
      <Tick on={control.pictures} onChange={(pictures) => set({ pictures })}>
        {words.pictures}
      </Tick>
      <CriteriaFields
        category={category}
        kind={control.kind}
        criteria={control.criteria}
        onChange={(criteria) => set({ criteria })}
      />
      {control.clocks.map((clock, n) => {
        const asked = floor.some(({ when }) => when === clock.when);
        return (
          <ClockFields
            key={clock.when}
            clock={clock}
            options={asked ? [clock.when] : [clock.when, ...left]}
            onChange={(changed) => setClock(n, changed)}
            {...(!asked &&
              control.clocks.length > 1 && {
                onRemove: () => set({ clocks: control.clocks.filter((_, place) => place !== n) }),
              })}
          />
        );
      })}
      <div className="tag-line">
        {next !== undefined && (
          <Button onPress={() => set({ clocks: [...control.clocks, clockOf(next)] })}>{words.addClock}</Button>
        )}
        {own && (
          <Button look="quiet" onPress={onRemove}>
            {words.remove}
          </Button>
        )}
      </div>
    </section>
  );
}

function clockOf(when: PlanTime): Clock {
  return when.includes(' n ') ? { when, n: 50 } : { when };
}

function ClockFields({
  clock,
  options,
  onChange,
  onRemove,
}: {
  clock: Clock;
  options: readonly PlanTime[];
  onChange: (clock: Clock) => void;
  onRemove?: () => void;
}) {
  return (
    <div className="plan-edit-clock">
      {options.length === 1 ? (
        <p>
          <strong>{nameOfClock(clock)}</strong> <span className="small">{clock.clause}</span>
        </p>
      ) : (
        <SelectField<PlanTime>
          label={words.clock}
          help={words.clockHelp}
          value={clock.when}
          onChange={(when) => onChange(clockOf(when))}
          options={options.map((id) => ({ id, name: CONTROLS.clocks[id] }))}
        />
      )}
      {clock.n !== undefined && (
        <Field
          label={words.number(clock.when === 'every n days' ? 'days' : 'slides')}
          type="number"
          inputMode="numeric"
          value={String(clock.n)}
          onChange={(n) => onChange({ ...clock, n: Number(n) })}
        />
      )}
      {onRemove && (
        <Button look="quiet" onPress={onRemove}>
          {words.remove}
        </Button>
      )}
    </div>
  );
}
