import type { ReactNode } from 'react';
import { useSession } from '../app/session.js';
import type { PlannedRun } from '../api.paths.js';
import { PLAN as words } from './words.js';

/** Steps of the axis, in minutes; the first that makes few enough marks is taken. */
const MARKS_MIN = [1, 2, 5, 10, 15, 30, 60, 120, 240, 480];
const MOST_MARKS = 4;

interface Stay {
  from: number;
  to: number;
  begun: boolean;
}

/** Each rack, and each pair of hands, as a line on one time axis. What it shows stands in the list of moments as well. */
export function Drawing({ runs }: { runs: readonly PlannedRun[] }) {
  const { format } = useSession();
  const from = Math.min(...runs.map(({ startsAt }) => Date.parse(startsAt)));
  const to = Math.max(...runs.map(({ endsAt }) => Date.parse(endsAt)), from + 1000);
  const place = (ms: number): string => `${((ms - from) / (to - from)) * 100}%`;
  const line = (span: [number, number] | null, stays: readonly Stay[]): ReactNode => (
    <div className="rack-line">
      {span && (
        <span
          className="rack-span"
          style={{ left: place(span[0]), width: `${((span[1] - span[0]) / (to - from)) * 100}%` }}
        />
      )}
      {stays.map((stay) => (
        <span
          key={stay.from}
          className={stay.begun ? 'rack-moment rack-moment-begun' : 'rack-moment'}
          style={{ left: place(stay.from), width: `${((stay.to - stay.from) / (to - from)) * 100}%` }}
        />
      ))}
    </div>
  );
  const pairs = [...new Set(runs.flatMap(({ moments }) => moments.flatMap(({ hands }) => hands ?? [])))].sort();
  return (
    <figure className="rack-axis">
      <figcaption className="small">{words.drawing}</figcaption>
      <div aria-hidden="true">
        {runs.map(({ id, title, going, startsAt, endsAt, moments }) => (
          <div className="rack-row" key={id}>
            <span className="rack-name">
              {title}{' '}
              <span className="small figures">
                {words.span(format.clock(startsAt), format.clock(endsAt))}
                {going && ` · ${words.on}`}
              </span>
            </span>
            {line([Date.parse(startsAt), Date.parse(endsAt)], moments.flatMap(stayOf))}
          </div>
        ))}
        {pairs.map((pair) => (
          <div className="rack-row" key={pair}>
            <span className="rack-name">{words.handsOf(pair)}</span>
            {line(
              null,
              runs.flatMap(({ moments }) => moments.filter(({ hands }) => hands === pair).flatMap(stayOf)),
            )}
          </div>
        ))}
        <div className="rack-row">
          <span />
          <div className="rack-hours">
            {marksOf(from, to).map((ms) => (
              <span key={ms} className="figures" style={{ left: place(ms) }}>
                {format.clock(new Date(ms).toISOString()).slice(0, 5)}
              </span>
            ))}
          </div>
        </div>
        <p className="small rack-legend">
          <span>
            <i className="rack-moment" /> {words.legendMoment}
          </span>
          <span>
            <i className="rack-moment rack-moment-begun" /> {words.legendBegun}
          </span>
          <span>
            <i className="rack-span" /> {words.legendRun}
          </span>
        </p>
      </div>
    </figure>
  );
}

function stayOf({ startsAt, handsOnSec, begun }: PlannedRun['moments'][number]): Stay[] {
  const from = Date.parse(startsAt);
  return handsOnSec > 0 ? [{ from, to: from + handsOnSec * 1000, begun }] : [];
}

function marksOf(from: number, to: number): number[] {
  const minutes = MARKS_MIN.find((each) => (to - from) / 60_000 / each <= MOST_MARKS) ?? 1440;
  const apart = minutes * 60_000;
  const marks: number[] = [];
  // A mark at the very end would run out of the page.
  for (let ms = Math.ceil(from / apart) * apart; ms < to - (to - from) / 10; ms += apart) marks.push(ms);
  return marks;
}
