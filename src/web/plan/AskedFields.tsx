import { useQuery } from '@tanstack/react-query';
import type { ReactNode } from 'react';
import { api, got } from '../api.js';
import { Button } from '../parts/Button.js';
import { benchClock } from '../parts/ticker.js';
import { Field } from '../parts/Field.js';
import { newId } from '../parts/ids.js';
import { Part } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { TypedTimes } from '../parts/TypedTimes.js';
import { stainsInForce, useProtocols } from '../protocols/protocols.js';
import { type Faults, type Form, newHandsLine, newRunLine, placesOf } from './asked.js';
import { PLAN as words } from './words.js';

/** What is to be done, who is there, and what there is little of. */
export function AskedFields({
  form,
  going,
  faults,
  onChange,
}: {
  form: Form;
  going: number;
  faults: Faults;
  onChange: (form: Form) => void;
}) {
  const protocols = useProtocols();
  const reagents = useQuery({ queryKey: ['reagents'], queryFn: () => got(api.GET('/api/reagents')) });
  const stains = stainsInForce(protocols.data ?? []);
  const baths = useQuery({ queryKey: ['stock', 'baths'], queryFn: () => got(api.GET('/api/baths')) });
  const inBaths = placesOf(baths.data ?? []);
  return (
    <>
      <ProblemNote problem={protocols.error ?? reagents.error} />
      <Part
        title={words.runs}
        about={
          <p>
            {words.runsHelp} {going > 0 && `${words.going(going)} `}
            <TypedTimes />
          </p>
        }
      >
        {form.runs.map((run, n) => {
          const set = (change: Partial<typeof run>): void =>
            onChange({ ...form, runs: changed(form.runs, run, change) });
          return (
            <Line
              key={run.id}
              name={words.run(n + 1)}
              onRemove={() => onChange({ ...form, runs: without(form.runs, run) })}
            >
              <SelectField
                label={words.protocol}
                empty={words.protocolEmpty}
                value={run.revisionId}
                error={faults.of(run, 'revisionId')}
                onChange={(revisionId) => set({ revisionId })}
                options={stains}
              />
              <div className="field-small">
                <Field
                  label={words.slides}
                  type="number"
                  value={run.slides}
                  error={faults.of(run, 'slides')}
                  onChange={(slides) => set({ slides })}
                  isRequired
                />
              </div>
              <Field
                label={words.earliest}
                help={words.earliestHelp}
                type="datetime-local"
                value={run.earliest}
                error={faults.of(run, 'earliestAt')}
                onChange={(earliest) => set({ earliest })}
              />
              <Field
                label={words.deadline}
                help={words.deadlineHelp}
                type="datetime-local"
                value={run.deadline}
                error={faults.of(run, 'deadlineAt')}
                onChange={(deadline) => set({ deadline })}
              />
              <label className="plan-first">
                <input type="checkbox" checked={run.first} onChange={({ target }) => set({ first: target.checked })} />
                {words.first}
              </label>
            </Line>
          );
        })}
        <div className="row-ways">
          <Button onPress={() => onChange({ ...form, runs: [...form.runs, newRunLine()] })}>{words.addRun}</Button>
        </div>
      </Part>
      <Part title={words.hands} about={<p>{words.handsHelp}</p>}>
        {form.hands.map((hands, n) => {
          const set = (change: Partial<typeof hands>): void =>
            onChange({ ...form, hands: changed(form.hands, hands, change) });
          return (
            <Line
              key={hands.id}
              name={words.person(n + 1)}
              onRemove={() => onChange({ ...form, hands: without(form.hands, hands) })}
            >
              <Field
                label={words.name}
                value={hands.name}
                error={faults.of(hands, 'name')}
                onChange={(name) => set({ name })}
                isRequired
              />
              <Field
                label={words.from}
                type="datetime-local"
                value={hands.from}
                error={faults.of(hands, 'from')}
                onChange={(from) => set({ from })}
                isRequired
              />
              <Field
                label={words.to}
                type="datetime-local"
                value={hands.to}
                error={faults.of(hands, 'to')}
                onChange={(to) => set({ to })}
                isRequired
              />
            </Line>
          );
        })}
        <div className="row-ways">
          <Button
            onPress={() =>
              onChange({ ...form, hands: [...form.hands, newHandsLine('', Date.parse(benchClock.now().at))] })
            }
          >
            {words.addHands}
          </Button>
        </div>
      </Part>
      <Part title={words.places} about={<p>{words.placesHelp}</p>}>
        {form.places.map((place, n) => {
          const set = (change: Partial<typeof place>): void =>
            onChange({ ...form, places: changed(form.places, place, change) });
          return (
            <Line
              key={place.id}
              name={words.place(n + 1)}
              onRemove={() => onChange({ ...form, places: without(form.places, place) })}
            >
              <SelectField
                label={words.reagent}
                empty={words.reagentEmpty}
                value={place.reagent}
                error={faults.of(place, 'reagent')}
                onChange={(reagent) => set({ reagent })}
                options={(reagents.data ?? []).map(({ code, name }) => ({ id: code, name }))}
              />
              <div className="field-small">
                <Field
                  label={words.racks}
                  type="number"
                  value={place.racks}
                  error={faults.of(place, 'racks')}
                  onChange={(racks) => set({ racks })}
                  isRequired
                />
              </div>
            </Line>
          );
        })}
        <div className="row-ways">
          <Button
            onPress={() => onChange({ ...form, places: [...form.places, { id: newId(), reagent: '', racks: '1' }] })}
          >
            {words.addPlace}
          </Button>
          {inBaths.length > 0 && (
            <Button onPress={() => onChange({ ...form, places: inBaths })}>{words.fromBaths}</Button>
          )}
        </div>
      </Part>
    </>
  );
}

function Line({ name, onRemove, children }: { name: string; onRemove: () => void; children: ReactNode }) {
  return (
    <fieldset className="plan-line">
      <legend>{name}</legend>
      {children}
      <Button look="quiet" aria-label={words.remove(name)} onPress={onRemove}>
        {words.removeShort}
      </Button>
    </fieldset>
  );
}

function changed<T extends { id: string }>(lines: readonly T[], { id }: T, change: Partial<T>): T[] {
  return lines.map((line) => (line.id === id ? { ...line, ...change } : line));
}

function without<T extends { id: string }>(lines: readonly T[], { id }: T): T[] {
  return lines.filter((line) => line.id !== id);
}
