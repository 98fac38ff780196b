import type { Differences } from '../../core/study/differences.js';
import type { Study } from '../api.paths.js';
import { figures } from '../parts/numbers.js';
import { STUDIES } from './words.js';

const words = STUDIES.page;
const [WIDTH, HEIGHT, LEFT, BOTTOM] = [640, 320, 64, 40];
const ROOM = 0.08;

/** Differences against means with the mean difference and the limits of agreement (Bland and Altman 1986). */
export function DifferencePlot({ study, differences }: { study: Study; differences: Differences }) {
  const points = study.pairs
    .filter(({ excluded }) => excluded === null)
    .map(({ id, material, old, new: fresh }) => ({ id, material, mean: (old + fresh) / 2, difference: old - fresh }));
  const { bias, limits } = differences;
  const means = points.map(({ mean }) => mean);
  const x = scale(means, [LEFT, WIDTH - 8]);
  const y = scale([...points.map(({ difference }) => difference), ...limits, 0], [HEIGHT - BOTTOM, 8]);
  const levels = [
    ['plot-limit', limits[1]],
    ['plot-mean', bias],
    ['plot-limit', limits[0]],
  ] as const;
  return (
    <figure className="difference-plot">
      <svg
        viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
        role="img"
        aria-label={words.plotAlt(points.length, figures(bias), figures(limits[0]), figures(limits[1]))}
      >
        <line x1={LEFT} x2={WIDTH - 8} y1={y(0)} y2={y(0)} className="plot-zero" />
        {levels.map(([look, value], i) => (
          <g key={i}>
            <line x1={LEFT} x2={WIDTH - 8} y1={y(value)} y2={y(value)} className={look} />
            <text x={LEFT - 6} y={y(value)} textAnchor="end" dominantBaseline="middle">
              {figures(value)}
            </text>
          </g>
        ))}
        {points.map(({ id, material, mean, difference }) => (
          <circle key={id} cx={x(mean)} cy={y(difference)} r={4}>
            <title>{`${material}: ${figures(difference)}`}</title>
          </circle>
        ))}
        {[Math.min(...means), Math.max(...means)].map((mean) => (
          <text key={mean} x={x(mean)} y={HEIGHT - BOTTOM + 16} textAnchor="middle">
            {figures(mean)}
          </text>
        ))}
        <text x={(LEFT + WIDTH) / 2} y={HEIGHT - 8} textAnchor="middle">
          {words.meanAxis}
        </text>
        <text
          x={14}
          y={(HEIGHT - BOTTOM) / 2}
          textAnchor="middle"
          transform={`rotate(-90 14 ${(HEIGHT - BOTTOM) / 2})`}
        >
          {words.differenceAxis}
        </text>
      </svg>
      <figcaption className="small">{words.plot}</figcaption>
    </figure>
  );
}

/** Where a value stands between the ends, with a little room beyond the outermost ones. */
function scale(values: readonly number[], [from, to]: readonly [number, number]): (value: number) => number {
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const span = high - low || 1;
  return (value) => from + ((value - low + ROOM * span) / (span * (1 + 2 * ROOM))) * (to - from);
}
