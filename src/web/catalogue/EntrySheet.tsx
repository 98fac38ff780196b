import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { REAGENT_KINDS } from '../../core/protocol/catalogue.js';
import { type Reagent, SPECIAL_REAGENTS } from '../../core/protocol/protocol.js';
import { STORAGE_CLASSES } from '../../core/storage/classes.js';
import { api, faultIn, got, once } from '../api.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Tick } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { PLACES_WORDS } from '../places/words.js';
import { WORDS } from '../words.js';
import { type CautionTyped, entryOf, type EntryTyped, typedOf, wrongDegrees } from './entry.js';
import { CATALOGUE_WORDS } from './words.js';

const words = CATALOGUE_WORDS.sheet;

/** Adds an entry to the catalogue, or revises one. */
export function EntrySheet({ reagent, onClose }: { reagent: Reagent | null; onClose: () => void }) {
  const queries = useQueryClient();
  const [typed, setTyped] = useState<EntryTyped>(() => typedOf(reagent));
  const set = (change: Partial<EntryTyped>): void => setTyped({ ...typed, ...change });
  const send = useChange(
    (body: Reagent, key) => got(api.POST('/api/reagents', { body, ...once(key) })),
    async (saved) => {
      say(words.done(saved.name));
      onClose();
      await queries.invalidateQueries({ queryKey: ['stock'] });
    },
  );
  const faultAt = (...at: string[]): string | undefined => faultIn(send.error, ...at);
  const degreesFault = (text: string, at: string): string | undefined =>
    wrongDegrees(text) ? words.notNumber : faultAt(at);
  const lacking =
    typed.code.trim() === '' ||
    typed.name.trim() === '' ||
    [typed.min, typed.max].some(wrongDegrees) ||
    typed.cautions.some(({ agent, source }) => agent.trim() === '' || source === '');
  return (
    <Sheet
      title={reagent ? CATALOGUE_WORDS.reviseOne(reagent.name) : words.title}
      onClose={onClose}
      closeWord={WORDS.cancel}
    >
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (!lacking) send.ask(entryOf(typed, reagent));
        }}
      >
        <p className="small">{words.about}</p>
        {!reagent && (
          <Field
            label={words.code}
            help={words.codeHelp}
            error={faultAt('code')}
            value={typed.code}
            onChange={(code) => set({ code })}
            autoComplete="off"
            isRequired
            takesFocus
          />
        )}
        <Field
          label={words.name}
          error={faultAt('name')}
          value={typed.name}
          onChange={(name) => set({ name })}
          isRequired
        />
        <div className="fields">
          <SelectField
            label={words.kind}
            value={typed.kind}
            onChange={(kind) => set({ kind })}
            options={REAGENT_KINDS.map((id) => ({ id, name: CATALOGUE_WORDS.kinds[id] }))}
          />
          <Field
            label={words.unit}
            help={words.unitHelp}
            error={faultAt('unit')}
            value={typed.unit}
            onChange={(unit) => set({ unit })}
            autoComplete="off"
          />
          <Field
            label={words.min}
            help={WORDS.optional}
            error={degreesFault(typed.min, 'storage.min')}
            value={typed.min}
            onChange={(min) => set({ min })}
            autoComplete="off"
          />
          <Field
            label={words.max}
            help={WORDS.optional}
            error={degreesFault(typed.max, 'storage.max')}
            value={typed.max}
            onChange={(max) => set({ max })}
            autoComplete="off"
          />
          <Field
            label={words.openedLife}
            help={words.openedHelp}
            error={faultAt('openedLife')}
            value={typed.openedLife}
            onChange={(openedLife) => set({ openedLife })}
            autoComplete="off"
          />
          <SelectField
            label={words.special}
            help={words.specialHelp}
            value={typed.special}
            onChange={(special) => set({ special })}
            options={[
              { id: 'none' as const, name: words.specialNone },
              ...SPECIAL_REAGENTS.map((id) => ({ id, name: words.specials[id] })),
            ]}
          />
          {typed.special === 'picric acid' && (
            <Field
              label={words.water}
              help={words.waterHelp}
              error={faultAt('waterCheckEvery')}
              value={typed.waterCheckEvery}
              onChange={(waterCheckEvery) => set({ waterCheckEvery })}
              autoComplete="off"
            />
          )}
        </div>
        <Tick on={typed.dark} onChange={(dark) => set({ dark })}>
          {words.dark}
        </Tick>
        <fieldset className="came">
          <legend>{words.classes}</legend>
          <div className="place-classes">
            {STORAGE_CLASSES.map((each) => (
              <Tick
                key={each}
                on={typed.classes.includes(each)}
                onChange={(on) =>
                  set({ classes: on ? [...typed.classes, each] : typed.classes.filter((other) => other !== each) })
                }
              >
                {PLACES_WORDS.classNames[each]}
              </Tick>
            ))}
          </div>
        </fieldset>
        <Cautions cautions={typed.cautions} onChange={(cautions) => set({ cautions })} faultAt={faultAt} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || lacking}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

function Cautions({
  cautions,
  onChange,
  faultAt,
}: {
  cautions: readonly CautionTyped[];
  onChange: (cautions: readonly CautionTyped[]) => void;
  faultAt: (...at: string[]) => string | undefined;
}) {
  const sources = useQuery({ queryKey: ['sources'], queryFn: () => got(api.GET('/api/sources')), staleTime: 600_000 });
  const set = (key: number, change: Partial<CautionTyped>): void =>
    onChange(cautions.map((each) => (each.key === key ? { ...each, ...change } : each)));
  return (
    <fieldset className="came">
      <legend>{words.cautions}</legend>
      <p className="small">{words.cautionsHelp}</p>
      {cautions.map((caution, n) => {
        const codesFault = faultAt(
          `cautions.${n}.codes`,
          ...caution.codes.split(/[\s,;]+/).map((_, k) => `cautions.${n}.codes.${k}`),
        );
        return (
          <fieldset key={caution.key} className="caution-typed">
            <legend>{words.nth(n + 1)}</legend>
            <div className="fields">
              <Field
                label={words.agent}
                help={words.agentHelp}
                error={faultAt(`cautions.${n}.agent`)}
                value={caution.agent}
                onChange={(agent) => set(caution.key, { agent })}
                isRequired
              />
              <SelectField
                label={words.signal}
                help={words.signalHelp}
                value={caution.signal}
                onChange={(signal) => set(caution.key, { signal })}
                options={(['Danger', 'Warning', 'none'] as const).map((id) => ({ id, name: words.signals[id] }))}
              />
              <Field
                label={words.codes}
                help={words.codesHelp}
                error={codesFault}
                value={caution.codes}
                onChange={(codes) => set(caution.key, { codes })}
                autoComplete="off"
              />
              <SelectField
                label={words.source}
                help={faultAt(`cautions.${n}.source`)}
                value={caution.source}
                empty={words.sourcePick}
                onChange={(source) => set(caution.key, { source })}
                options={(sources.data ?? []).map(({ key, citation }) => ({
                  id: key,
                  name: citation.length > 60 ? `${citation.slice(0, 60)}…` : citation,
                }))}
              />
            </div>
            <Field
              label={words.advice}
              help={WORDS.optional}
              error={faultAt(`cautions.${n}.advice`)}
              value={caution.advice}
              onChange={(advice) => set(caution.key, { advice })}
            />
            <div>
              <Button
                look="quiet"
                aria-label={`${words.remove}: ${words.nth(n + 1)}`}
                onPress={() => onChange(cautions.filter((each) => each !== caution))}
              >
                {words.remove}
              </Button>
            </div>
          </fieldset>
        );
      })}
      <div>
        <Button
          onPress={() =>
            onChange([
              ...cautions,
              {
                ...{ key: (cautions.at(-1)?.key ?? -1) + 1, agent: '', codes: '', signal: 'Warning' },
                ...{ advice: '', source: '' },
              },
            ])
          }
        >
          {words.addCaution}
        </Button>
      </div>
    </fieldset>
  );
}
