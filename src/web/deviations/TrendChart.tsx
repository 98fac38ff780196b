import { useWidth } from '../control-results/Chart.js';
import { LOCALE } from '../parts/locale.js';
import { figures } from '../parts/numbers.js';
import type { TrendChart as Charted } from './queries.js';
import { DEVIATIONS } from './words.js';

const words = DEVIATIONS.trends;
const TOP = 26;
const BOTTOM = 26;
const LEFT = 46;
const RIGHT = 10;

/**
 * Rates by month with their centre and each month's own limits; a month beyond them is a full square, any other a ring. The
 * table beside it says the same.
 */
export function TrendChart({ chart, months, label }: { chart: Charted; months: readonly string[]; label: string }) {
  const [width, measure] = useWidth();
  const height = Math.round(Math.min(320, Math.max(200, width * 0.4)));
  const highest = Math.max(chart.centre, ...chart.points.flatMap(({ value, ucl }) => [value ?? 0, ucl])) || 1;
  const slot = (width - LEFT - RIGHT) / months.length;
  const x = (n: number): number => LEFT + slot * (n + 0.5);
  const y = (value: number): number => TOP + (1 - value / highest) * (height - TOP - BOTTOM);
  const known = chart.points.flatMap((point, n) => (point.value === null ? [] : [{ ...point, value: point.value, n }]));
  // A month's name needs about so much room.
  const every = Math.ceil(44 / slot);
  return (
    <div ref={measure}>
      <svg className="trend-chart" viewBox={`0 0 ${width} ${height}`} role="img" aria-label={label}>
        {[0, highest / 2, highest].map((value) => (
          <g key={value}>
            <line className="trend-grid" x1={LEFT} x2={width - RIGHT} y1={y(value)} y2={y(value)} />
            <text x={LEFT - 6} y={y(value) + 4} textAnchor="end">
              {percent(value)}
            </text>
          </g>
        ))}
        <text x={LEFT} y={TOP - 6}>
          {words.per100}
        </text>
        <line className="trend-centre" x1={LEFT} x2={width - RIGHT} y1={y(chart.centre)} y2={y(chart.centre)} />
        {known.map(({ n, lcl, ucl }) => (
          <g key={n} className="trend-limit">
            <line x1={x(n) - slot / 2} x2={x(n) + slot / 2} y1={y(ucl)} y2={y(ucl)} />
            <line x1={x(n) - slot / 2} x2={x(n) + slot / 2} y1={y(lcl)} y2={y(lcl)} />
          </g>
        ))}
        <polyline className="trend-line" points={known.map(({ n, value }) => `${x(n)},${y(value)}`).join(' ')} />
        {known.map(({ n, value, beyond }) =>
          beyond ? (
            <rect key={n} className="trend-beyond" x={x(n) - 6} y={y(value) - 6} width={12} height={12} />
          ) : (
            <circle key={n} className="trend-point" cx={x(n)} cy={y(value)} r={4} />
          ),
        )}
        {months.map((month, n) =>
          n % every === 0 ? (
            <text key={month} x={x(n)} y={height - 8} textAnchor="middle">
              {monthName(month)}
            </text>
          ) : null,
        )}
      </svg>
      <p className="small">
        {words.centre(percent(chart.centre))}; {words.limits}.
      </p>
    </div>
  );
}

/** '2026-11' is 'Nov 26' where English is read. */
export function monthName(month: string): string {
  return new Intl.DateTimeFormat(LOCALE, { month: 'short', year: '2-digit', timeZone: 'UTC' }).format(
    Date.parse(`${month}-01`),
  );
}

/** A rate per hundred, to three digits. */
export function percent(rate: number): string {
  return figures(rate * 100, 3);
}
