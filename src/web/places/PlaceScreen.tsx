import { useState } from 'react';
import { Link } from 'react-aria-components';
import type { ScreenProps } from '../app/screen.js';
import { useSession } from '../app/session.js';
import type { Hold, PlaceDetail } from '../api.paths.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import { DecideHoldsSheet } from './DecideHoldsSheet.js';
import { Excursions } from './Excursions.js';
import { ImportSheet } from './ImportSheet.js';
import { concerning, limitsText, usePlace, usePlaces } from './places.js';
import './places.css';
import { PlaceSheet } from './PlaceSheet.js';
import { ReadSheet } from './ReadSheet.js';
import { TemperatureChart } from './TemperatureChart.js';
import { PLACES_WORDS } from './words.js';

const words = PLACES_WORDS.place;
const above = { href: '/stock/places', word: PLACES_WORDS.title };

/** One storage place: what was outside its limits and waits, its temperatures and what lies there. */
export default function PlaceScreen({ place: code = '' }: ScreenProps) {
  const { may } = useSession();
  const { data, error, refetch } = usePlace(code);
  const all = usePlaces().data;
  const [asked, setAsked] = useState<'place' | 'read' | 'import' | null>(null);
  const [deciding, setDeciding] = useState<readonly Hold[] | null>(null);
  const close = (): void => setAsked(null);
  if (!data) {
    return (
      <Page title={PLACES_WORDS.title} above={above}>
        <Waiting error={error} onRetry={() => void refetch()} />
      </Page>
    );
  }
  return (
    <Page
      title={data.name}
      above={above}
      about={
        <p className="tag-line">
          {data.code} · {PLACES_WORDS.limits.toLowerCase()} {limitsText(data)}
          {data.outside && <Tag frame="full">{PLACES_WORDS.outside}</Tag>}
        </p>
      }
      ways={
        <>
          {may('technician', 'manager', 'director') && (
            <>
              <Button look="main" onPress={() => setAsked('read')}>
                {PLACES_WORDS.read}
              </Button>
              <Button onPress={() => setAsked('import')}>{PLACES_WORDS.import}</Button>
            </>
          )}
          {may('manager', 'director') && (
            <Button look="quiet" onPress={() => setAsked('place')}>
              {words.change}
            </Button>
          )}
        </>
      }
    >
      {all && <Excursions all={concerning(all, data)} onDecide={setDeciding} />}
      <Part title={words.temperatures}>
        {data.readings.length === 0 ? <p>{words.noTemperatures}</p> : <TemperatureChart place={data} />}
      </Part>
      <Part title={words.lying}>
        <Lying place={data} />
      </Part>
      {asked === 'place' && <PlaceSheet place={data} onClose={close} />}
      {asked === 'read' && <ReadSheet place={data} onClose={close} />}
      {asked === 'import' && <ImportSheet place={data} onClose={close} />}
      {deciding && <DecideHoldsSheet holds={deciding} onClose={() => setDeciding(null)} />}
    </Page>
  );
}

function Lying({ place: { lying } }: { place: PlaceDetail }) {
  const { format } = useSession();
  const { name } = useCatalogue();
  if (lying.length === 0) return <p>{words.nothing}</p>;
  return (
    <div className="table-place">
      <table>
        <thead>
          <tr>
            <th scope="col">{words.container}</th>
            <th scope="col">{words.reagent}</th>
            <th scope="col">{words.since}</th>
          </tr>
        </thead>
        <tbody>
          {lying.map(({ id, label, reagent, lotId, since }) => (
            <tr key={id}>
              <th scope="row">
                <Link href={`/stock/${lotId}`} className="label">
                  {label}
                </Link>
              </th>
              <td data-label={words.reagent}>{name(reagent)}</td>
              <td data-label={words.since} className="figures">
                {format.dayAndClock(since)}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
