import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';
import type { Excursion, Hold, Places } from '../api.paths.js';
import { OpenDeviation } from '../deviations/OpenDeviation.js';
import { Button } from '../parts/Button.js';
import { Part, Tag } from '../parts/Page.js';
import { limitsText } from './places.js';
import './places.css';
import { PLACES_WORDS as words } from './words.js';

/** What was outside its limits, and the holds that wait for a decision; nothing where there is neither. */
export function Excursions({ all, onDecide }: { all: Places; onDecide: (holds: readonly Hold[]) => void }) {
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
