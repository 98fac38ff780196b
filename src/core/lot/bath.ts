import { type Instant, plusMs } from '../time/instant.js';
import type { Limit } from './lot.js';

/** What wears a bath out. */
export interface BathFacts {
  /** Slides that it may stain before it is changed; null when nothing limits them. */
  maxSlides: number | null;
  /** Slides that went through it, by run, earliest first. */
  passed: { at: Instant; slides: number; runId: string }[];
  /** ISO 8601 duration after which it is filtered again; null when it need not be. */
  filterEvery: string | null;
  /** When it was made up or filtered, earliest first, with the instant until which that lasts. */
  filtered: { at: Instant; until: Instant | null }[];
}

/** Where a bath stands at an instant. */
export interface BathStanding {
  /** Slides that went through it. */
  passed: number;
  /** Slides that it may still stain; null when nothing limits them. */
  left: number | null;
  /** Instant from which it must be filtered before use; null when it need not be. */
  filterDueAt: Instant | null;
  filterDue: boolean;
  /** The first instant at which it may no longer be used, and what sets it; null when nothing limits it yet. */
  changeDueAt: Instant | null;
  changeBy: Limit['by'] | 'slides' | null;
  changeDue: boolean;
  /** Not due yet, but within a day or the last tenth of its slides. */
  soon: boolean;
}

/** When a bath is told of ahead: within a day, or the last tenth of its slides. A proposal; the work list shows both. */
const SOON_MS = 86_400_000;
const SOON_SHARE = 0.1;

/**
 * Where a bath stands: slides passed and left, when it is filtered and changed next, and whether that is soon; null for a
 * container that is no bath. A bath of 100 slides through which 95 went has `{passed: 95, left: 5, soon: true, …}`.
 */
export function bathDue(
  { limits, bath }: { limits: readonly Limit[]; bath?: BathFacts },
  now: Instant,
): BathStanding | null {
  if (!bath) return null;
  const passed = slidesUntil(bath, now);
  const left = bath.maxSlides === null ? null : Math.max(0, bath.maxSlides - passed);
  const filterDueAt = filterLasts(bath, now);
  const ends: { at: Instant; by: Limit['by'] | 'slides' }[] = limits.map(({ by, until }) => ({ at: until, by }));
  const full = usedUpAt(bath, now);
  if (full !== null) ends.push({ at: full, by: 'slides' });
  const first = ends.reduce<(typeof ends)[0] | null>((least, end) => (least && least.at <= end.at ? least : end), null);
  const changeDue = first !== null && first.at <= now;
  const nearly = left !== null && bath.maxSlides !== null && left <= bath.maxSlides * SOON_SHARE;
  return {
    passed,
    left,
    filterDueAt,
    filterDue: filterDueAt !== null && filterDueAt <= now,
    changeDueAt: first?.at ?? null,
    changeBy: first?.by ?? null,
    changeDue,
    soon: !changeDue && (nearly || (first !== null && first.at <= plusMs(now, SOON_MS))),
  };
}

/** Slides that went through a bath up to an instant, its own included. */
export function slidesUntil({ passed }: BathFacts, at: Instant): number {
  return passed.reduce((sum, use) => (use.at <= at ? sum + use.slides : sum), 0);
}

/** The instant until which a bath counts as filtered, by what was done up to `at`; null when it need not be filtered. */
export function filterLasts({ filtered }: BathFacts, at: Instant): Instant | null {
  return filtered.filter((each) => each.at <= at).at(-1)?.until ?? null;
}

/** When the last slide that it may stain went through; null while it may stain more. */
function usedUpAt({ maxSlides, passed }: BathFacts, now: Instant): Instant | null {
  if (maxSlides === null) return null;
  let sum = 0;
  for (const { at, slides } of [...passed].sort((a, b) => (a.at < b.at ? -1 : 1))) {
    sum += slides;
    if (at <= now && sum >= maxSlides) return at;
  }
  return null;
}
