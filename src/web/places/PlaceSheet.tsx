import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { STORAGE_CLASSES, type StorageClass } from '../../core/storage/classes.js';
import { api, faultIn, got, once } from '../api.js';
import type { NewPlace, StoragePlace } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Tick } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { typedNumber } from '../parts/typed-number.js';
import { WORDS } from '../words.js';
import { PLACES_WORDS } from './words.js';

const words = PLACES_WORDS.placeSheet;

/** Sets a storage place up, or changes one. */
export function PlaceSheet({ place, onClose }: { place?: StoragePlace; onClose: () => void }) {
  const queries = useQueryClient();
  const [code, setCode] = useState(place?.code ?? '');
  const [name, setName] = useState(place?.name ?? '');
  const [min, setMin] = useState(place?.min?.toString() ?? '');
  const [max, setMax] = useState(place?.max?.toString() ?? '');
  const [dark, setDark] = useState(place?.dark ?? false);
  const [apart, setApart] = useState(place?.apart ?? false);
  const [classes, setClasses] = useState<readonly StorageClass[]>(place?.classes ?? []);
  const send = useChange(
    (body: NewPlace, key) => got(api.POST('/api/places', { body, ...once(key) })),
    async (saved) => {
      say(words.done(saved.name));
      onClose();
      await queries.invalidateQueries({ queryKey: ['stock'] });
    },
  );
  const faultAt = (...at: string[]): string | undefined => faultIn(send.error, ...at);
  const limit = (text: string): number | undefined => (text.trim() === '' ? undefined : typedNumber(text));
  return (
    <Sheet title={place ? words.change(place.name) : words.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          const [least, most] = [limit(min), limit(max)];
          send.ask({
            ...{ code: code.trim(), name: name.trim(), dark, apart },
            ...(least !== undefined && { min: least }),
            ...(most !== undefined && { max: most }),
            ...(classes.length > 0 && { classes: [...classes] }),
          });
        }}
      >
        {!place && (
          <Field
            label={words.code}
            help={words.codeHelp}
            error={faultAt('code')}
            value={code}
            onChange={setCode}
            autoComplete="off"
            isRequired
            takesFocus
          />
        )}
        <Field label={words.name} error={faultAt('name')} value={name} onChange={setName} isRequired />
        <Field
          label={words.min}
          help={words.limitHelp}
          error={faultAt('min')}
          value={min}
          onChange={setMin}
          autoComplete="off"
        />
        <Field label={words.max} error={faultAt('max')} value={max} onChange={setMax} autoComplete="off" />
        <Tick on={dark} onChange={setDark}>
          {words.dark}
        </Tick>
        <Tick on={apart} onChange={setApart}>
          {words.apart}
        </Tick>
        <fieldset className="came">
          <legend>{words.classes}</legend>
          <div className="place-classes">
            {STORAGE_CLASSES.map((each) => (
              <Tick
                key={each}
                on={classes.includes(each)}
                onChange={(on) => setClasses(on ? [...classes, each] : classes.filter((other) => other !== each))}
              >
                {PLACES_WORDS.classNames[each]}
              </Tick>
            ))}
          </div>
        </fieldset>
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || code.trim() === '' || name.trim() === ''}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
