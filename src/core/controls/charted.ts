import type { Instant } from '../time/instant.js';
import type { Verdict } from './multirule.js';
import { type ChartLimits, type ChartMark, type ChartPoint, limitsAt } from './picture.js';
import { type MarkKind, RESETTING } from './series.js';

/** A judged series as the API tells it, as much of it as a chart shows. */
export interface Judged {
  series: {
    limits: readonly (ChartLimits & { level: string })[];
    marks: readonly { level: string; kind: MarkKind; at: Instant; text: string }[];
  };
  batches: readonly {
    fired: readonly { rule: string; levels: readonly string[]; weight: 'reject' | 'warn' | 'note' }[];
    values: readonly {
      level: string;
      value: number;
      at: Instant;
      z: number | null;
      lots: Readonly<Record<string, string>> | null;
    }[];
  }[];
}

/** What one level's chart shows. */
export interface Charted {
  points: ChartPoint[];
  limits: ChartLimits[];
  marks: ChartMark[];
}

/**
 * What the chart of one level shows of a judged series: its values with the rules that fired for it, its limits, and as
 * marks what people marked, new limits, and each change of lots between two values.
 */
export function chartedLevel({ series, batches }: Judged, level: string): Charted {
  const limits = series.limits.filter((each) => each.level === level);
  const own = series.marks.filter((each) => each.level === level);
  const changes: ChartMark[] = [];
  const points: ChartPoint[] = [];
  let lots: Readonly<Record<string, string>> | null = null;
  for (const { fired, values } of batches) {
    const here = fired.filter(({ levels }) => levels.includes(level));
    for (const { at, value, z, lots: used } of values.filter((each) => each.level === level)) {
      const before = points.at(-1)?.at;
      if (used && lots && changed(lots, used)) changes.push({ at, text: 'new lot' });
      lots = used ?? lots;
      points.push({
        at,
        value,
        z,
        verdict: z === null ? null : worst(here),
        fired: here.map(({ rule }) => rule),
        fresh:
          limits.some(({ since }) => since <= at && (before === undefined || since > before)) ||
          own.some(
            ({ kind, at: mark }) => RESETTING.includes(kind) && mark < at && (before === undefined || mark >= before),
          ),
      });
    }
  }
  const first = points[0]?.at ?? '';
  const inView = (at: Instant): boolean => at >= first;
  return {
    points,
    limits,
    marks: [
      ...own.filter(({ at }) => inView(at)).map(({ at, kind }) => ({ at, text: kind })),
      ...limits
        .filter(({ since }) => since > first && limitsAt(limits, first))
        .map(({ since }) => ({ at: since, text: 'new limits' })),
      ...changes,
    ],
  };
}

function changed(before: Readonly<Record<string, string>>, now: Readonly<Record<string, string>>): boolean {
  return Object.entries(now).some(([reagent, lot]) => before[reagent] !== undefined && before[reagent] !== lot);
}

function worst(fired: readonly { weight: string }[]): Verdict {
  if (fired.some(({ weight }) => weight === 'reject')) return 'reject';
  return fired.some(({ weight }) => weight === 'warn') ? 'warn' : 'accept';
}
