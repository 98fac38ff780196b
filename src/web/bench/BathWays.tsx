import { useState } from 'react';
import type { ContainerFacts } from '../../core/lot/facts.js';
import { useFiltered } from '../baths/filtered.js';
import { TopUpSheet } from '../baths/sheets.js';
import { BATHS } from '../baths/words.js';
import { useSession } from '../app/session.js';
import { Button } from '../parts/Button.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { useCatalogue } from './bench.js';

/** How many slides a bath on the tray has had, and what is done to one in the middle of the work, in one touch each. */
export function BathWays({ container: { id, reagent, bath } }: { container: ContainerFacts }) {
  const { may } = useSession();
  const { name } = useCatalogue();
  const filter = useFiltered();
  const [toppingUp, setToppingUp] = useState(false);
  if (!bath) return null;
  const passed = bath.passed.reduce((sum, { slides }) => sum + slides, 0);
  const acts = BATHS.acts;
  return (
    <>
      <p className="small figures">{BATHS.slides(passed, bath.maxSlides)}</p>
      {may('technician', 'manager', 'director') && (
        <div className="line-ways">
          {bath.filterEvery !== null && (
            <Button
              isDisabled={filter.isPending}
              aria-label={`${acts.filter}: ${name(reagent)}`}
              onPress={() => filter.ask(id)}
            >
              {acts.filter}
            </Button>
          )}
          <Button aria-label={`${acts.topUp}: ${name(reagent)}`} onPress={() => setToppingUp(true)}>
            {acts.topUp}
          </Button>
        </div>
      )}
      <ProblemNote problem={filter.error} />
      {toppingUp && <TopUpSheet bath={{ id, name: name(reagent), reagent }} onClose={() => setToppingUp(false)} />}
    </>
  );
}
