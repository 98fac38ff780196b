import { Button } from '../parts/Button.js';
import { Field } from '../parts/Field.js';
import { type NewContainer, oneMore, withSize, wrongAmount } from './delivery.js';
import { STOCK } from './words.js';

const words = STOCK.in;

/** The containers that came, one line each. */
export function Containers({
  containers,
  counted,
  onChange,
  faultAt,
}: {
  containers: readonly NewContainer[];
  /** Unit in which the reagent is counted. */
  counted: string;
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
              onChange={(size) => set(container.key, withSize(container, size))}
            />
            <Field
              label={words.amount}
              help={words.amountHelp}
              error={
                wrongAmount(container.amount)
                  ? words.notAmount
                  : (faultAt(`containers.${n}.amount`) ?? faultAt(`containers.${n}.amount.value`))
              }
              value={container.amount}
              onChange={(amount) => set(container.key, { amount })}
              inputMode="decimal"
              autoComplete="off"
            />
            <Field
              label={words.unit}
              help={words.unitHelp(counted)}
              error={faultAt(`containers.${n}.amount.unit`)}
              value={container.unit}
              onChange={(unit) => set(container.key, { unit })}
              autoComplete="off"
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
