import { useState } from 'react';
import { Form } from 'react-aria-components';
import type { Step } from '../../core/protocol/protocol.js';
import { Button } from '../parts/Button.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { Sheet } from '../parts/Sheet.js';
import { typedNumber } from '../parts/typed-number.js';
import { WORDS } from '../words.js';
import { useRecord } from './acts.js';
import type { Standing } from './bench.js';
import { BENCH, stepName } from './words.js';

const words = BENCH.temperature;
/** UCUM codes and how a bench writes them. */
const UNITS = [
  { id: 'Cel', name: '°C' },
  { id: '[degF]', name: '°F' },
  { id: 'K', name: 'K' },
] as const;

export function TemperatureSheet({ run, step, onClose }: { run: Standing; step: Step; onClose: () => void }) {
  const record = useRecord();
  const { temperature } = step;
  const [text, setText] = useState('');
  const [unit, setUnit] = useState<(typeof UNITS)[number]['id']>(
    UNITS.find(({ id }) => id === temperature?.unit)?.id ?? 'Cel',
  );
  if (!temperature) return null;
  const { min, target, max } = temperature;
  const value = typedNumber(text);
  const wrong = text.trim() === '' || !Number.isFinite(value);
  const wanted = `${min ?? target} to ${max ?? target} ${UNITS.find(({ id }) => id === temperature.unit)?.name ?? temperature.unit}`;
  return (
    <Sheet title={words.title(stepName(step))} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (wrong) return;
          record(run.id, 'temperature-read', { step: step.id, value, unit });
          onClose();
        }}
      >
        <Field
          label={words.field}
          help={words.help(wanted)}
          error={text.trim() !== '' && wrong ? words.error : undefined}
          value={text}
          onChange={setText}
          inputMode="decimal"
          takesFocus
          isRequired
        />
        <Choice label={words.unit} options={UNITS} value={unit} onChange={setUnit} />
        <Button look="main" type="submit" isDisabled={wrong}>
          {words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
