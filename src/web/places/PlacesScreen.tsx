import { useState } from 'react';
import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';
import type { Hold, StoragePlace } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { Nothing, Page, Tag, Waiting } from '../parts/Page.js';
import { DecideHoldsSheet } from './DecideHoldsSheet.js';
import { Excursions } from './Excursions.js';
import { ImportSheet } from './ImportSheet.js';
import { limitsText, usePlaces } from './places.js';
import './places.css';
import { PlaceSheet } from './PlaceSheet.js';
import { ReadSheet } from './ReadSheet.js';
import { PLACES_WORDS as words } from './words.js';

type Asked =
  | { sheet: 'place' }
  | { sheet: 'read' | 'import'; place: StoragePlace }
  | { sheet: 'decide'; holds: readonly Hold[] }
  | null;

/** Every storage place with its last temperature; what was outside its limits, and what that put on hold, on top. */
export default function PlacesScreen() {
  const { may } = useSession();
  const { data, error, refetch } = usePlaces();
  const [asked, setAsked] = useState<Asked>(null);
  const close = (): void => setAsked(null);
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={
        may('manager', 'director') && (
          <Button look="main" onPress={() => setAsked({ sheet: 'place' })}>
            {words.add}
          </Button>
        )
      }
    >
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data && data.places.length === 0 && (
        <Nothing title={words.empty}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      {data && data.places.length > 0 && (
        <>
          <Excursions all={data} onDecide={(holds) => setAsked({ sheet: 'decide', holds })} />
          <ul className="lines places">
            {data.places.map((place) => (
              <PlaceLine key={place.code} place={place} onAsk={(sheet) => setAsked({ sheet, place })} />
            ))}
          </ul>
        </>
      )}
      {asked?.sheet === 'place' && <PlaceSheet onClose={close} />}
      {asked?.sheet === 'read' && <ReadSheet place={asked.place} onClose={close} />}
      {asked?.sheet === 'import' && <ImportSheet place={asked.place} onClose={close} />}
      {asked?.sheet === 'decide' && <DecideHoldsSheet holds={asked.holds} onClose={close} />}
    </Page>
  );
}

function PlaceLine({ place, onAsk }: { place: StoragePlace; onAsk: (sheet: 'read' | 'import') => void }) {
  const { format, may } = useSession();
  const { code, name, latest, outside, dark, apart, classes, containers } = place;
  const marks = [
    ...(dark ? [words.dark] : []),
    ...(apart ? [words.apart] : []),
    ...(classes ? [`${words.classes} ${classes.map((each) => words.classNames[each]).join(', ')}`] : []),
  ];
  return (
    <li className="place-line">
      <div>
        <Link href={`/stock/places/${encodeURIComponent(code)}`} className="line-title">
          {name}
        </Link>
        <p className="small">
          {code} · {words.lying(containers)}
        </p>
      </div>
      <div>
        <p className="figures">
          {words.limits} {limitsText(place)}
        </p>
        {marks.length > 0 && <p className="small">{marks.join(' · ')}</p>}
      </div>
      <div>
        {latest === null ? (
          <p className="small">{words.never}</p>
        ) : (
          <>
            <p className="tag-line">
              <span className="place-now figures">{words.celsius(latest.celsius)}</span>{' '}
              {outside && <Tag frame="full">{words.outside}</Tag>}
            </p>
            <p className="small figures">{format.dayAndClock(latest.at)}</p>
          </>
        )}
      </div>
      {may('technician', 'manager', 'director') && (
        <div className="row-ways">
          <Button aria-label={`${words.read}: ${name}`} onPress={() => onAsk('read')}>
            {words.read}
          </Button>
          <Button look="quiet" aria-label={`${words.import}: ${name}`} onPress={() => onAsk('import')}>
            {words.import}
          </Button>
        </div>
      )}
    </li>
  );
}
