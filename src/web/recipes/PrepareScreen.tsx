import { useQueryClient } from '@tanstack/react-query';
import { navigate, useParam } from '../app/router.js';
import type { ScreenProps } from '../app/screen.js';
import { api, got, once } from '../api.js';
import type { KnownRecipe, NewPreparation } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { useDraft } from '../parts/draft.js';
import { Field } from '../parts/Field.js';
import { unitText } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { Page, Part, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { typedNumber } from '../parts/typed-number.js';
import { WORDS } from '../words.js';
import { amountText } from './amounts.js';
import { Cautions } from './Cautions.js';
import { EMPTY_LINE, type LineFilling, linesOf, missingWords, readingsOf, type TypedReading } from './filling.js';
import { PrepareLine } from './PrepareLine.js';
import { Readings } from './Readings.js';
import { useRecipe, useWorksheet } from './recipes.js';
import '../stock/stock.css';
import './recipes.css';
import { RECIPES } from './words.js';

const words = RECIPES.prepare;

/** Guided weighing: line by line the container that is taken from and what the balance showed, then readings and bottles. */
export default function PrepareScreen({ recipe: code = '' }: ScreenProps) {
  const { data, error, refetch } = useRecipe(code);
  const above = { href: `/stock/recipes/${code}`, word: data?.recipe.name ?? RECIPES.title };
  if (!data) {
    return (
      <Page title={RECIPES.title} above={above}>
        <Waiting error={error} onRetry={() => void refetch()} />
      </Page>
    );
  }
  return (
    <Page title={words.title(data.recipe.name)} above={above} about={<p>{words.about}</p>}>
      <Prepare recipe={data.recipe} />
    </Page>
  );
}

interface Typed {
  filling: [number, LineFilling][];
  readings: [string, TypedReading][];
  count: string;
  each: string;
  number: string;
}

function Prepare({ recipe }: { recipe: KnownRecipe['recipe'] }) {
  const queries = useQueryClient();
  const [asked] = useParam('volume');
  const [askedUnit] = useParam('unit');
  const [at] = useParam('at');
  const value = typedNumber(asked ?? '');
  const volume = value > 0 ? { value, unit: askedUnit ?? recipe.makes.unit } : recipe.makes;
  const degrees = typedNumber(at ?? '');
  const usedAtCel = Number.isNaN(degrees) ? null : degrees;
  const sheet = useWorksheet(recipe.code, volume, usedAtCel);
  const { typed, type, forget } = useDraft<Typed>(`prepare ${recipe.code} ${volume.value} ${volume.unit}`, {
    filling: [],
    readings: [],
    count: '1',
    each: String(volume.value),
    number: '',
  });
  const { count, each, number } = typed;
  const filling = new Map(typed.filling);
  const readings = new Map(typed.readings);
  const send = useChange(
    (body: NewPreparation, key) => got(api.POST('/api/preparations', { body, ...once(key) })),
    async (made) => {
      forget();
      say(words.done(made.number));
      await queries.invalidateQueries({ queryKey: ['stock'] });
      navigate(`/stock/preparations/${made.lotId}`);
    },
  );
  if (!sheet.data) return <Waiting error={sheet.error} onRetry={() => void sheet.refetch()} />;
  const { lines, hazards } = sheet.data;
  const bottles = typedNumber(count);
  const missing = missingWords(lines, filling, each);
  const whole = missing.length === 0 && Number.isInteger(bottles) && bottles > 0 && bottles <= 100;
  const keep = (): void =>
    send.ask({
      recipe: recipe.code,
      volume,
      ...(usedAtCel !== null && { usedAtCel }),
      ...(number.trim() !== '' && { number: number.trim() }),
      lines: linesOf(lines, filling),
      readings: readingsOf(readings),
      containers: Array.from({ length: bottles }, () => ({
        amount: { value: typedNumber(each), unit: volume.unit },
      })),
    });
  // No form around it: the scan fields are forms of their own.
  return (
    <div className="prepare-end">
      <Cautions recipe={recipe} hazards={hazards} />
      <Part title={RECIPES.page.worksheet(amountText(volume))}>
        <ol className="prepare-lines">
          {lines.map((line) => (
            <PrepareLine
              key={line.line}
              line={line}
              filling={filling.get(line.line) ?? EMPTY_LINE}
              onChange={(next) => type({ filling: [...filling.set(line.line, next)] })}
            />
          ))}
        </ol>
      </Part>
      {recipe.finish && (
        <Part title={RECIPES.page.finish}>
          <ol className="recipe-finish">
            {recipe.finish.map((step) => (
              <li key={step}>{step}</li>
            ))}
          </ol>
        </Part>
      )}
      {recipe.readings && (
        <Part title={words.readings} about={words.readingsHelp}>
          <Readings asked={recipe.readings} typed={readings} onChange={(next) => type({ readings: [...next] })} />
        </Part>
      )}
      <Part title={words.containers}>
        <div className="fields">
          <Field
            label={words.count}
            help={words.countHelp}
            value={count}
            onChange={(next) => type({ count: next })}
            inputMode="numeric"
            isRequired
          />
          <Field
            label={words.each(unitText(volume.unit))}
            value={each}
            onChange={(next) => type({ each: next })}
            inputMode="decimal"
            isRequired
          />
          <Field
            label={words.batch}
            help={words.batchHelp}
            value={number}
            onChange={(next) => type({ number: next })}
            autoComplete="off"
          />
        </div>
      </Part>
      <ProblemNote problem={send.error} />
      {missing.length > 0 && <p className="small">{words.missing(missing)}</p>}
      <div>
        <Button look="main" isDisabled={send.isPending || !whole} onPress={keep}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </div>
    </div>
  );
}
