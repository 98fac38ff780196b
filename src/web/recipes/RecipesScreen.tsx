import { Link } from 'react-aria-components';
import { useText } from '../app/router.js';
import { useCatalogue } from '../bench/bench.js';
import { Finder } from '../parts/Finder.js';
import { Nothing, Page, Tag, Waiting } from '../parts/Page.js';
import { amountText } from './amounts.js';
import { useRecipes } from './recipes.js';
import './recipes.css';
import { STOCK } from '../stock/words.js';
import { RECIPES as words } from './words.js';

/** Every recipe by name, to be found by a part of it. */
export default function RecipesScreen() {
  const { name } = useCatalogue();
  const { data, error, refetch } = useRecipes();
  const [wanted, setWanted] = useText('find');
  const sought = wanted.trim().toLowerCase();
  const shown = (data ?? [])
    .filter((recipe) => `${recipe.name} ${name(recipe.reagent)} ${recipe.code}`.toLowerCase().includes(sought))
    .sort((a, b) => a.name.localeCompare(b.name));
  return (
    <Page title={words.title} above={{ href: '/stock', word: STOCK.title }} about={<p>{words.about}</p>}>
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data && (
        <>
          <Finder label={words.find} text={wanted} onText={setWanted} found={shown.length} all={data.length} />
          {shown.length === 0 ? (
            <Nothing title={words.none}>
              <p>{words.noneHelp}</p>
            </Nothing>
          ) : (
            <ul className="lines">
              {shown.map((recipe) => (
                <li key={recipe.code} className="recipe-line">
                  <Link href={`/stock/recipes/${recipe.code}`} className="line-title">
                    {recipe.name}
                  </Link>
                  <span>
                    {recipe.strength} {recipe.own && <Tag>{words.own}</Tag>}
                  </span>
                  <span className="small figures">{words.makes(amountText(recipe.makes))}</span>
                </li>
              ))}
            </ul>
          )}
        </>
      )}
    </Page>
  );
}
