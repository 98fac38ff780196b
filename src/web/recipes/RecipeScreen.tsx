import { useQuery } from '@tanstack/react-query';
import { Fragment, useState } from 'react';
import { Link } from 'react-aria-components';
import type { ScreenProps } from '../app/screen.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { KnownRecipe } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { Field } from '../parts/Field.js';
import { unitText } from '../parts/format.js';
import { Page, Part, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { typedNumber } from '../parts/typed-number.js';
import { lifeText } from '../stock/stock.js';
import { amountText } from './amounts.js';
import { Cautions } from './Cautions.js';
import { useRecipe, useWorksheet } from './recipes.js';
import '../stock/stock.css';
import './recipes.css';
import { RECIPES } from './words.js';
import { WorksheetTable } from './WorksheetTable.js';

const words = RECIPES.page;
const above = { href: '/stock/recipes', word: RECIPES.title };
const UNITS = ['mL', 'L'] as const;

/** One recipe with its calculator: a volume gives the worksheet, which can be printed or worked through. */
export default function RecipeScreen({ code = '' }: ScreenProps) {
  const { data, error, refetch } = useRecipe(code);
  if (!data) {
    return (
      <Page title={RECIPES.title} above={above}>
        <Waiting error={error} onRetry={() => void refetch()} />
      </Page>
    );
  }
  return <Recipe key={code} known={data} />;
}

function Recipe({ known }: { known: KnownRecipe }) {
  const { may } = useSession();
  const { recipe, names, madeBy } = known;
  const [amount, setAmount] = useState(String(recipe.makes.value));
  const [unit, setUnit] = useState<string>(recipe.makes.unit);
  const [temperature, setTemperature] = useState(String(recipe.buffer?.usedAtCel ?? ''));
  const value = typedNumber(amount);
  const volume = value > 0 ? { value, unit } : null;
  const degrees = typedNumber(temperature);
  const moves = recipe.buffer?.pKaPerCel !== undefined;
  const sheet = useWorksheet(recipe.code, volume, moves && !Number.isNaN(degrees) ? degrees : null);
  return (
    <Page
      title={recipe.name}
      above={above}
      about={recipe.note && <p>{recipe.note}</p>}
      ways={
        <>
          {may('technician', 'manager', 'director') && volume && (
            <Link
              href={`/stock/prepare/${recipe.code}?volume=${volume.value}&unit=${volume.unit}${moves ? `&at=${degrees}` : ''}`}
              className="button button-main"
            >
              {words.prepare}
            </Link>
          )}
          <Button onPress={() => print()}>{words.print}</Button>
        </>
      }
    >
      <Cautions recipe={recipe} hazards={sheet.data?.hazards ?? []} />
      <div className="recipe-asked">
        <div className="fields">
          <Field
            label={words.volume}
            help={words.volumeHelp}
            value={amount}
            onChange={setAmount}
            inputMode="decimal"
            error={volume === null ? words.badVolume : undefined}
          />
          <SelectField
            label={words.unit}
            value={unit}
            onChange={setUnit}
            options={[...new Set<string>([...UNITS, recipe.makes.unit])].map((id) => ({ id, name: unitText(id) }))}
          />
          {moves && (
            <Field
              label={words.temperature}
              help={words.temperatureHelp}
              value={temperature}
              onChange={setTemperature}
              inputMode="decimal"
            />
          )}
        </div>
      </div>
      <ProblemNote problem={sheet.error} />
      {volume && sheet.data && (
        <Part title={words.worksheet(amountText(volume))} about={words.worksheetHelp}>
          <WorksheetTable lines={sheet.data.lines} names={names} madeBy={madeBy} />
        </Part>
      )}
      {recipe.finish && (
        <Part title={words.finish}>
          <ol className="recipe-finish">
            {recipe.finish.map((each) => (
              <li key={each}>{each}</li>
            ))}
          </ol>
        </Part>
      )}
      {recipe.readings && (
        <Part title={words.readings}>
          <ul className="checks">
            {recipe.readings.map(({ id, what, unit: of, min, max, status }) => (
              <li key={id}>
                <span>
                  {what}
                  {of !== undefined && `: ${limitsText(min, max, of)}`} <span className="small">{status}</span>
                </span>
              </li>
            ))}
          </ul>
        </Part>
      )}
      <dl className="facts">
        {(
          [
            [words.strengthFact, recipe.strength],
            [words.life, `${lifeText(recipe.life.duration)} (${recipe.life.status})`],
            [words.storage, recipe.storage],
            [words.status, recipe.status],
            [words.sources, recipe.sources.join(', ')],
          ] as const
        ).map(([fact, said]) =>
          said ? (
            <div key={fact}>
              <dt>{fact}</dt>
              <dd>{said}</dd>
            </div>
          ) : (
            <Fragment key={fact} />
          ),
        )}
      </dl>
      <MadeHere code={recipe.code} />
    </Page>
  );
}

export function limitsText(min: number | undefined, max: number | undefined, unit: string): string {
  const of = unitText(unit);
  if (min === undefined) return words.most(String(max), of);
  return max === undefined ? words.least(String(min), of) : words.between(String(min), String(max), of);
}

function MadeHere({ code }: { code: string }) {
  const { format } = useSession();
  const { data } = useQuery({
    queryKey: ['stock', 'preparations', code],
    queryFn: () => got(api.GET('/api/preparations', { params: { query: { recipe: code, take: 5 } } })),
  });
  if (!data) return null;
  return (
    <Part title={words.madeHere}>
      {data.items.length === 0 ? (
        <p className="small">{words.madeNone}</p>
      ) : (
        <ul className="lines">
          {data.items.map(({ lotId, number, at, volume }) => (
            <li key={lotId} className="recipe-line">
              <Link href={`/stock/preparations/${lotId}`}>{number}</Link>
              <span className="figures">{amountText(volume)}</span>
              <span className="small figures">{format.dayAndClock(at)}</span>
            </li>
          ))}
        </ul>
      )}
    </Part>
  );
}
