import { Button } from '../parts/Button.js';
import { Field } from '../parts/Field.js';
import { type NewContainer, oneMore } from './delivery.js';
import { STOCK } from './words.js';

const words = STOCK.in;

/** The containers that came, one line each. */
export function Containers({
  containers,
  onChange,
  faultAt,
}: {
  containers: readonly NewContainer[];
  onChange: (containers: readonly NewContainer[]) => void;
  faultAt: (at: string) => string | undefined;
}) {
  const set = (key: number, change: Partial<NewContainer>): void =>
    onChange(containers.map((each) => (each.key === key ? { ...each, ...change } : each)));
  return (
    <fieldset className="came">
      <legend>{words.containers}</legend>
      <p className="small">{words.containersHelp}</p>
      <ol>
        {containers.map((container, n) => (
          <li key={container.key}>
            <p>
              <strong>{words.nth(n + 1)}</strong>{' '}
              {container.label !== '' && <span className="small label">{words.label(container.label)}</span>}
            </p>
            <Field
              label={words.serial}
              error={faultAt(`containers.${n}.serial`) ?? faultAt(`containers.${n}.label`)}
              value={container.serial}
              onChange={(serial) => set(container.key, { serial })}
              autoComplete="off"
            />
            <Field
              label={words.size}
              help={words.sizeHelp}
              value={container.size}
              onChange={(size) => set(container.key, { size })}
            />
            {containers.length > 1 && (
              <Button
                look="quiet"
                aria-label={`${words.remove}: ${words.nth(n + 1)}`}
                onPress={() => onChange(containers.filter((each) => each !== container))}
              >
                {words.remove}
              </Button>
            )}
          </li>
        ))}
      </ol>
      <div>
        <Button onPress={() => onChange(oneMore(containers))}>{words.add}</Button>
      </div>
    </fieldset>
  );
}
