import type { Instant } from '../time/instant.js';
import type { ControlResult, CriterionReading } from './result.js';

/** How one criterion was graded on controls stained with one lot. */
export interface LotCriterion {
  criterion: string;
  judged: number;
  /** Mean grade, pass counting 3 and fail 0. */
  mean: number;
  /** How often it failed or was graded 0 or 1. */
  poor: number;
}

/** How controls came out that were stained with one lot of a reagent. */
export interface LotResults {
  reagent: string;
  lotId: string;
  results: number;
  failed: number;
  criteria: LotCriterion[];
  firstAt: Instant;
  lastAt: Instant;
}

/**
 * Results by the lots that stained them, by reagent and then by the first staining, so that the lot that made pale slides
 * stands out beside the others of its reagent. A result counts for each lot on its tray.
 */
export function resultsByLot(results: readonly ControlResult[]): LotResults[] {
  const lots = new Map<string, LotResults & { graded: Map<string, number[]> }>();
  for (const { lots: used, passed, stainedAt, readings } of results) {
    for (const [reagent, lotId] of Object.entries(used)) {
      const lot = lots.get(lotId) ?? {
        reagent,
        lotId,
        results: 0,
        failed: 0,
        criteria: [],
        firstAt: stainedAt,
        lastAt: stainedAt,
        graded: new Map<string, number[]>(),
      };
      lots.set(lotId, lot);
      lot.results += 1;
      lot.failed += passed ? 0 : 1;
      if (stainedAt < lot.firstAt) lot.firstAt = stainedAt;
      if (stainedAt > lot.lastAt) lot.lastAt = stainedAt;
      for (const { criterion, grade } of readings.flatMap(({ criteria }) => criteria ?? [])) {
        lot.graded.set(criterion, [...(lot.graded.get(criterion) ?? []), points(grade)]);
      }
    }
  }
  return [...lots.values()]
    .map(({ graded, ...lot }) => ({
      ...lot,
      criteria: [...graded].map(([criterion, grades]) => summed(criterion, grades)),
    }))
    .sort((a, b) => compare(a.reagent, b.reagent) || compare(a.firstAt, b.firstAt));
}

function points(grade: CriterionReading['grade']): number {
  if (typeof grade === 'number') return grade;
  return grade === 'pass' ? 3 : 0;
}

function summed(criterion: string, grades: readonly number[]): LotCriterion {
  const sum = grades.reduce((total, grade) => total + grade, 0);
  return {
    criterion,
    judged: grades.length,
    mean: sum / grades.length,
    poor: grades.filter((grade) => grade < 2).length,
  };
}

function compare(a: string, b: string): number {
  if (a === b) return 0;
  return a < b ? -1 : 1;
}
