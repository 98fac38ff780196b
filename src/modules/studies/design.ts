import type { CriteriaDto, DesignDto, DesignGoalDto, NewStudyDto } from '../../contract/studies.dto.js';
import { Refusal } from '../../core/refusal.js';
import { suggestionFor, unitOf } from '../../core/protocol/units.js';
import {
  checkCriteria,
  type Criteria,
  type Design,
  type DesignGoal,
  LEAST_PAIRS,
  plannedPairs,
} from '../../core/study/acceptance.js';

export function goalOf(goal: DesignGoalDto): DesignGoal {
  const { question, claim, confidence, disagreeing = 0, margin, sd, power } = goal;
  const needed = (name: string, value: number | undefined): number => {
    if (value !== undefined) return value;
    throw refused('no-goal', name, `${name} is missing; the number of pairs for ${question} is reckoned from it.`);
  };
  return question === 'agreement'
    ? { question, claim: needed('claim', claim), confidence: needed('confidence', confidence), disagreeing }
    : { question, margin: needed('margin', margin), sd: needed('sd', sd), power: needed('power', power) };
}

/** How many pairs, reckoned from the goal unless given; refuses fewer than anything can be reckoned from. */
export function designOf({ pairs, from, reason }: DesignDto): Design {
  const goal = from && goalOf(from);
  const planned = pairs ?? (goal && plannedPairs(goal));
  if (planned === undefined) {
    throw refused('no-pairs', 'design.pairs', 'Say how many pairs are planned, or from what their number is reckoned.');
  }
  return { pairs: Math.max(planned, LEAST_PAIRS), reason, ...(goal && { from: goal }) };
}

export function criteriaOf(kind: NewStudyDto['kind'], given: CriteriaDto): Criteria {
  const { agreement, lowerLimit, kappa, low, high } = given;
  const surplus = kind === 'numeric' ? (['agreement', 'lowerLimit', 'kappa'] as const) : (['low', 'high'] as const);
  const wrong = surplus.find((name) => given[name] !== undefined);
  if (wrong) throw refused('other-kind', `criteria.${wrong}`, `${wrong} decides no ${kind} study; leave it out.`);
  const criteria: Criteria =
    kind === 'numeric'
      ? { low: low ?? Number.NaN, high: high ?? Number.NaN }
      : {
          agreement: agreement ?? Number.NaN,
          ...(lowerLimit !== undefined && { lowerLimit }),
          ...(kappa !== undefined && { kappa }),
        };
  checkCriteria(kind, criteria);
  return criteria;
}

/** What values are on: a unit for numbers, categories for readings. */
export function scaleOf({ kind, unit, metric, categories }: NewStudyDto): {
  unit: string | null;
  metric: string | null;
  categories: string[] | null;
} {
  if (kind === 'numeric') {
    if (categories) throw refused('other-kind', 'categories', 'Numbers have no categories; leave them out.');
    if (unit === undefined) throw refused('no-unit', 'unit', 'Say the unit of the numbers as a UCUM code; 1 for none.');
    if (!unitOf(unit)) {
      throw refused(
        'bad-unit',
        'unit',
        `"${unit}" is not a UCUM code; write ${suggestionFor(unit) ?? '1 for a number without unit'}.`,
      );
    }
    return { unit, metric: metric ?? null, categories: null };
  }
  if (unit !== undefined) throw refused('other-kind', 'unit', 'Readings have no unit; leave it out.');
  if (metric !== undefined)
    throw refused('other-kind', 'metric', 'Readings are no figures of a picture; leave the metric out.');
  const scale = categories ?? (kind === 'qualitative' ? ['negative', 'positive'] : undefined);
  if (!scale) throw refused('no-categories', 'categories', 'Name the categories from the least to the most.');
  if (kind === 'qualitative' && scale.length !== 2) {
    throw refused('bad-categories', 'categories', 'Qualitative readings are of two kinds; with more, say ordinal.');
  }
  return { unit: null, metric: null, categories: scale };
}

export function refused(code: string, at: string, message: string): Refusal {
  return new Refusal('invalid', code, message, [{ at, message }]);
}
