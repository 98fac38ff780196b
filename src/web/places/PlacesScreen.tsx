import { useState } from 'react';
import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';
import type { Excursion, Hold, Places, StoragePlace } from '../api.paths.js';
import { OpenDeviation } from '../deviations/OpenDeviation.js';
import { Button } from '../parts/Button.js';
import { Nothing, Page, Part, Tag, Waiting } from '../parts/Page.js';
import { DecideHoldsSheet } from './DecideHoldsSheet.js';
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

function Excursions({ all, onDecide }: { all: Places; onDecide: (holds: readonly Hold[]) => void }) {
  const open = all.excursions.filter(({ until, undecided }) => until === null || undecided > 0);
  const before = all.excursions.filter((each) => !open.includes(each));
  const others = all.holds.filter(({ causeId }) => causeId === null);
  if (open.length + before.length + others.length === 0) return null;
  const nameOf = (code: string): string => all.places.find((each) => each.code === code)?.name ?? code;
  const line = (each: Excursion) => (
    <ExcursionLine
      key={each.id}
      excursion={each}
      name={nameOf(each.place)}
      holds={all.holds.filter(({ causeId }) => causeId === each.id)}
      onDecide={onDecide}
    />
  );
  return (
    <Part title={words.excursions.title}>
      {open.length + others.length === 0 && <p>{words.excursions.none}</p>}
      <ul className="checks">{open.map(line)}</ul>
      {others.length > 0 && (
        <ul className="checks" aria-label={words.excursions.others}>
          {others.map((hold) => (
            <HoldLine key={hold.id} hold={hold} onDecide={onDecide} />
          ))}
        </ul>
      )}
      {before.length > 0 && (
        <details>
          <summary>{words.excursions.before}</summary>
          <ul className="checks">{before.map(line)}</ul>
        </details>
      )}
    </Part>
  );
}

function ExcursionLine({
  excursion,
  name,
  holds,
  onDecide,
}: {
  excursion: Excursion;
  name: string;
  holds: readonly Hold[];
  onDecide: (holds: readonly Hold[]) => void;
}) {
  const { format, may } = useSession();
  const { from, until, worst, undecided } = excursion;
  return (
    <li>
      <p className="tag-line">
        <strong>{name}</strong>
        <Tag frame={until === null ? 'full' : 'plain'}>
          {until === null ? words.excursions.goesOn : words.excursions.over}
        </Tag>
        <span className="figures">
          {until === null
            ? words.excursions.since(format.dayAndClock(from))
            : words.excursions.span(format.dayAndClock(from), format.dayAndClock(until))}
        </span>
      </p>
      {worst && <p>{words.excursions.worst(words.celsius(worst.celsius), limitsText(excursion))}</p>}
      <p className="tag-line">
        {undecided > 0 ? (
          <Tag frame="double">{words.excursions.waiting(undecided)}</Tag>
        ) : (
          <span className="small">{words.excursions.decided}</span>
        )}
        {holds.length > 0 && may('manager', 'director') && (
          <Button aria-label={`${words.excursions.decide}: ${name}`} onPress={() => onDecide(holds)}>
            {words.excursions.decide}
          </Button>
        )}
        <OpenDeviation from={{ subject: 'excursion', subjectId: excursion.id }} about={name} />
      </p>
    </li>
  );
}

function HoldLine({ hold, onDecide }: { hold: Hold; onDecide: (holds: readonly Hold[]) => void }) {
  const { format, may } = useSession();
  return (
    <li>
      <p className="tag-line">
        <Link href={`/stock/${hold.lotId}`} className="label">
          {hold.label}
        </Link>
        <Tag frame="double">{words.excursions.kinds[hold.kind]}</Tag>
        <span className="figures">{words.excursions.since(format.dayAndClock(hold.at))}</span>
        {may('manager', 'director') && (
          <Button aria-label={`${words.excursions.decide}: ${hold.label}`} onPress={() => onDecide([hold])}>
            {words.excursions.decide}
          </Button>
        )}
      </p>
      <p>{format.within(hold.reason)}</p>
    </li>
  );
}
