import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { api, got, once } from '../api.js';
import type { Hold } from '../api.paths.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice, Tick } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { PLACES_WORDS } from './words.js';

const words = PLACES_WORDS.decide;

/** Decides on containers that were put on hold, on all alike or on some of them. */
export function DecideHoldsSheet({ holds, onClose }: { holds: readonly Hold[]; onClose: () => void }) {
  const queries = useQueryClient();
  const { name } = useCatalogue();
  const [chosen, setChosen] = useState<readonly string[]>(holds.map(({ id }) => id));
  const [usable, setUsable] = useState<'usable' | 'unusable' | null>(null);
  const [reason, setReason] = useState('');
  const send = useChange(
    (body: { holds: string[]; usable: boolean; reason: string }, key) =>
      got(api.POST('/api/holds/decisions', { body, ...once(key) })),
    async () => {
      say(words.done(chosen.length));
      onClose();
      await queries.invalidateQueries({ queryKey: ['stock'] });
    },
  );
  return (
    <Sheet title={words.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (usable === null) return;
          send.ask({ holds: [...chosen], usable: usable === 'usable', reason: reason.trim() });
        }}
      >
        <p>{words.about}</p>
        {holds.length > 1 && (
          <fieldset className="came">
            <legend>{words.which}</legend>
            <Tick on={chosen.length === holds.length} onChange={(on) => setChosen(on ? holds.map(({ id }) => id) : [])}>
              {words.all}
            </Tick>
            {holds.map(({ id, label, reagent, lotNumber }) => (
              <Tick
                key={id}
                on={chosen.includes(id)}
                onChange={(on) => setChosen(on ? [...chosen, id] : chosen.filter((each) => each !== id))}
              >
                <span className="label">{label}</span> {name(reagent)}, {lotNumber}
              </Tick>
            ))}
          </fieldset>
        )}
        <Choice
          label={words.what}
          options={[
            { id: 'usable', ...words.usable },
            { id: 'unusable', ...words.unusable },
          ]}
          value={usable}
          onChange={setUsable}
        />
        <Field label={words.reason} value={reason} onChange={setReason} lines={3} isRequired />
        <ProblemNote problem={send.error} />
        <Button
          look="main"
          type="submit"
          isDisabled={send.isPending || usable === null || chosen.length === 0 || reason.trim() === ''}
        >
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
