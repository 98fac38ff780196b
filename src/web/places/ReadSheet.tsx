import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { api, got, once } from '../api.js';
import type { StoragePlace } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { asLocal } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { benchClock } from '../parts/ticker.js';
import { typedNumber } from '../parts/typed-number.js';
import { TimeField } from '../parts/TimeField.js';
import { WORDS } from '../words.js';
import { limitsText } from './places.js';
import { PLACES_WORDS } from './words.js';

const words = PLACES_WORDS.readSheet;
type Unit = keyof typeof words.units;

/** Records what the thermometer of a place shows. */
export function ReadSheet({ place, onClose }: { place: StoragePlace; onClose: () => void }) {
  const queries = useQueryClient();
  const [now] = useState(() => asLocal(benchClock.now().at));
  const [when, setWhen] = useState(now);
  const [value, setValue] = useState('');
  const [unit, setUnit] = useState<Unit>('Cel');
  const figure = typedNumber(value);
  const wrong = value.trim() !== '' && Number.isNaN(figure);
  const ms = Date.parse(when);
  const send = useChange(
    (body: { value: number; unit: string; at?: string }, key) =>
      got(api.POST('/api/places/{code}/temperatures', { params: { path: { code: place.code } }, body, ...once(key) })),
    async ({ held }) => {
      say(held > 0 ? words.held(held) : words.done);
      onClose();
      await queries.invalidateQueries({ queryKey: ['stock'] });
    },
  );
  return (
    <Sheet title={words.title(place.name)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (Number.isNaN(figure) || Number.isNaN(ms)) return;
          send.ask({ value: figure, unit, ...(when !== now && { at: new Date(ms).toISOString() }) });
        }}
      >
        <p>
          {PLACES_WORDS.limits} {limitsText(place)}
        </p>
        <Field
          label={words.value}
          help={words.valueHelp}
          value={value}
          onChange={setValue}
          error={wrong ? words.notNumber : undefined}
          inputMode="text"
          autoComplete="off"
          isRequired
          takesFocus
        />
        <SelectField
          label={words.unit}
          value={unit}
          onChange={setUnit}
          options={Object.entries(words.units).map(([id, name]) => ({ id: id as Unit, name }))}
        />
        <TimeField label={words.when} help={words.whenHelp} value={when} onChange={setWhen} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || Number.isNaN(figure) || Number.isNaN(ms)}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
