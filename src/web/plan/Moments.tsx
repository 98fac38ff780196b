import { useSession } from '../app/session.js';
import type { PlannedRun } from '../api.paths.js';
import { spanText } from '../parts/format.js';
import { PLAN as words } from './words.js';

const QUARTER_MS = 900_000;

/** One time that hands are needed, with the rack that needs them. */
type Moment = PlannedRun['moments'][number] & { title: string; key: string };

/** What hands do, in order, folded by the quarter hour: the plan for whoever reads rather than looks. */
export function Moments({ runs }: { runs: readonly PlannedRun[] }) {
  const { format } = useSession();
  const clock = (ms: number): string => format.clock(new Date(ms).toISOString()).slice(0, 5);
  return (
    <div className="moments">
      <h3>{words.moments}</h3>
      {quartersOf(runs).map(([from, moments], n) => (
        <details key={from} open={n === 0}>
          <summary>
            <strong className="figures">{words.span(clock(from), clock(from + QUARTER_MS))}</strong>{' '}
            <span className="small">
              {words.quarter(moments.length, spanText(sumOf(moments.map(({ handsOnSec }) => handsOnSec * 1000))))}
            </span>
          </summary>
          <ol>
            {moments.map(({ key, startsAt, action, title, hands, handsOnSec }) => (
              <li key={key}>
                <time dateTime={startsAt} className="figures">
                  {format.clock(startsAt)}
                </time>
                <span>{action}</span>
                <span className="small">
                  {title}
                  {hands !== null && ` · ${hands}`} · {spanText(handsOnSec * 1000)}
                </span>
              </li>
            ))}
          </ol>
        </details>
      ))}
    </div>
  );
}

/** What is to be done from each quarter hour on, in order; quarters in which nothing begins are left out. */
function quartersOf(runs: readonly PlannedRun[]): [number, Moment[]][] {
  const quarters = new Map<number, Moment[]>();
  const moments = runs
    .flatMap(({ id, title, moments: own }) => own.map((moment, n) => ({ ...moment, title, key: `${id} ${n}` })))
    .filter(({ begun, handsOnSec }) => !begun && handsOnSec > 0)
    .sort((a, b) => Date.parse(a.startsAt) - Date.parse(b.startsAt));
  for (const moment of moments) {
    const from = Math.floor(Date.parse(moment.startsAt) / QUARTER_MS) * QUARTER_MS;
    quarters.set(from, [...(quarters.get(from) ?? []), moment]);
  }
  return [...quarters];
}

function sumOf(numbers: readonly number[]): number {
  return numbers.reduce((sum, each) => sum + each, 0);
}
