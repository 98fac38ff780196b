import type { KnownRecipe, Worksheet } from '../api.paths.js';
import { RECIPES as words } from './words.js';

/** What can hurt somebody while it is made, before anything else. */
export function Cautions({ recipe, hazards }: { recipe: KnownRecipe['recipe']; hazards: Worksheet['hazards'] }) {
  return (
    <section className="recipe-cautions" aria-label={words.cautions}>
      <h2>{words.cautions}</h2>
      {recipe.cautions && (
        <ul>
          {recipe.cautions.map((each) => (
            <li key={each}>{each}</li>
          ))}
        </ul>
      )}
      {hazards.length > 0 && (
        <details>
          <summary>{words.hazards}</summary>
          <ul>
            {hazards.map(({ agent, codes, signal, advice }) => (
              <li key={agent}>
                {signal !== 'none' && <strong>{signal}: </strong>}
                {agent} {codes.length > 0 && <span className="figures">{codes.join(' ')}</span>}
                {advice !== undefined && <span className="small"> {advice}</span>}
              </li>
            ))}
          </ul>
        </details>
      )}
      <p className="small">{words.caution}</p>
    </section>
  );
}
