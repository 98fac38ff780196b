import type { SeriesDto } from '../../contract/control-series.dto.js';
import type { Rule } from '../../core/controls/rules.js';
import type { SeriesGroup } from '../../store/questions/control-series.js';

/** A series as pages see it. */
export function seriesView({ series, rules, limits, marks }: SeriesGroup): SeriesDto {
  const [first] = series;
  if (!first) throw new Error('a group has at least one series');
  const { code, title, unit, protocolId, requirement, metric } = first;
  const levelOf = (id: string): string => series.find((each) => each.id === id)?.level ?? '';
  return {
    code,
    title,
    unit,
    protocolId,
    requirement,
    metric,
    levels: series.map(({ id, level }) => ({ id, level })),
    rules,
    limits: limits.map(({ id, seriesId, source, since, mean, sd, n, provisional, points, reason, at, signature }) => ({
      id,
      seriesId,
      level: levelOf(seriesId),
      source,
      since,
      mean,
      sd,
      n,
      provisional,
      points,
      reason,
      at,
      signature,
    })),
    marks: marks.map(({ seriesId, kind, at, text }) => ({ seriesId, level: levelOf(seriesId), kind, at, text })),
  };
}

/** The rule that a firing is a form of: '2-2s-within' is one of '2-2s'. */
export function baseRule(code: string): Rule {
  return code.replace(/-(within|across)$/, '') as Rule;
}
