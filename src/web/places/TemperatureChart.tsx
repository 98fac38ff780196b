import { useSession } from '../app/session.js';
import type { PlaceDetail } from '../api.paths.js';
import { PLACES_WORDS } from './words.js';

const words = PLACES_WORDS.place;
const [WIDTH, HEIGHT, LEFT, BOTTOM, TOP] = [720, 200, 44, 24, 8];
/** Readings that a table still shows in a readable length. */
const LISTED = 60;

/** A place's temperatures as a line between its limits, with the same in words and as a table. */
export function TemperatureChart({ place: { readings, min, max } }: { place: PlaceDetail }) {
  const { format } = useSession();
  const [first, last] = [readings.at(0), readings.at(-1)];
  if (!first || !last) return null;
  const celsius = readings.map((each) => each.celsius);
  const [low, high] = [Math.min(...celsius), Math.max(...celsius)];
  const bottom = Math.floor(Math.min(low, min ?? low) - 1);
  const top = Math.ceil(Math.max(high, max ?? high) + 1);
  const from = Date.parse(first.at);
  const span = Math.max(Date.parse(last.at) - from, 1);
  const x = (at: string): number => LEFT + ((Date.parse(at) - from) / span) * (WIDTH - LEFT - 8);
  const y = (value: number): number => TOP + ((top - value) / (top - bottom)) * (HEIGHT - TOP - BOTTOM);
  const line = readings.map((each) => `${x(each.at).toFixed(1)},${y(each.celsius).toFixed(1)}`).join(' ');
  const told = words.chart(
    format.dayAndClock(first.at),
    format.dayAndClock(last.at),
    PLACES_WORDS.celsius(low),
    PLACES_WORDS.celsius(high),
  );
  return (
    <>
      <svg className="temperature" viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label={told}>
        {[min, max].map(
          (limit, n) =>
            limit !== null && (
              <g key={n}>
                <line x1={LEFT} x2={WIDTH - 8} y1={y(limit)} y2={y(limit)} className="temperature-limit" />
                <text x={LEFT - 6} y={y(limit) + 4} textAnchor="end">
                  {PLACES_WORDS.celsius(limit)}
                </text>
              </g>
            ),
        )}
        <polyline points={line} className="temperature-line" />
        {readings.length <= LISTED &&
          readings.map((each) => <circle key={each.at} cx={x(each.at)} cy={y(each.celsius)} r="3" />)}
        <text x={LEFT} y={HEIGHT - 6}>
          {format.dayAndClock(first.at)}
        </text>
        <text x={WIDTH - 8} y={HEIGHT - 6} textAnchor="end">
          {format.dayAndClock(last.at)}
        </text>
      </svg>
      <p>{told}</p>
      <details>
        <summary>{words.table}</summary>
        <div className="table-place">
          <table>
            <thead>
              <tr>
                <th scope="col">{words.time}</th>
                <th scope="col">{words.celsius}</th>
              </tr>
            </thead>
            <tbody>
              {readings.slice(-LISTED).map(({ at, celsius: value }) => (
                <tr key={at}>
                  <td data-label={words.time} className="figures">
                    {format.dayAndClock(at)}
                  </td>
                  <td data-label={words.celsius} className="figures">
                    {value}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      </details>
    </>
  );
}
