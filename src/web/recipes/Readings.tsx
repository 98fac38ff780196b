import type { KnownRecipe } from '../api.paths.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { typedNumber } from '../parts/typed-number.js';
import { unitText } from '../parts/format.js';
import type { TypedReading } from './filling.js';
import { limitsText } from './RecipeScreen.js';
import { RECIPES } from './words.js';

const words = RECIPES.prepare;

type Asked = NonNullable<KnownRecipe['recipe']['readings']>[number];

/** The readings by which a preparation is accepted, as they are taken; each may be left for later. */
export function Readings({
  asked,
  typed,
  onChange,
}: {
  asked: readonly Asked[];
  typed: ReadonlyMap<string, TypedReading>;
  onChange: (typed: ReadonlyMap<string, TypedReading>) => void;
}) {
  const set = (id: string, reading: TypedReading | null): void => {
    const next = new Map(typed);
    if (reading === null) next.delete(id);
    else next.set(id, reading);
    onChange(next);
  };
  return (
    <div className="fields">
      {asked.map(({ id, what, unit, min, max }) => {
        const reading = typed.get(id);
        if (unit === undefined) {
          const value = reading && 'passed' in reading ? (reading.passed ? 'yes' : 'no') : 'later';
          return (
            <Choice
              key={id}
              label={what}
              options={[
                { id: 'yes', name: words.yes },
                { id: 'no', name: words.no },
                { id: 'later', name: words.later },
              ]}
              value={value}
              onChange={(choice) => set(id, choice === 'later' ? null : { passed: choice === 'yes' })}
            />
          );
        }
        const text = reading && 'value' in reading ? reading.value : '';
        const value = typedNumber(text);
        const outside = (min !== undefined && value < min) || (max !== undefined && value > max);
        return (
          <Field
            key={id}
            label={unitText(unit) === '' ? what : words.value(what, unitText(unit))}
            help={outside ? words.outside : limitsText(min, max, unit)}
            value={text}
            onChange={(next) => set(id, next.trim() === '' ? null : { value: next })}
            inputMode="decimal"
            autoComplete="off"
          />
        );
      })}
    </div>
  );
}
