import type { EvaluationDto, EvaluationQueryDto, SeriesDto } from '../../contract/control-series.dto.js';
import type { Rule } from '../../core/controls/rules.js';
import type { LimitsRow } from '../rows/control-results.entity.js';
import type { View } from '../view.js';
import { evaluateWindow, type SeriesGroup, seriesGroup, valueLots } from './control-series.js';

/** So many values of each level are charted unless more are asked for. */
const CHARTED = 100;

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

/** What a page or a picture shows of a series. */
export async function evaluated(
  view: View,
  id: string,
  { from = '', to, take = CHARTED }: EvaluationQueryDto,
  now: string,
): Promise<EvaluationDto> {
  const group = await seriesGroup(view, id);
  const batches: EvaluationDto['batches'] = [];
  await evaluateWindow(view, group, { from, to: to ?? after(now), take }, (points, judged) => {
    batches.push({
      at: points[0]?.at ?? '',
      verdict: judged?.verdict ?? null,
      fired: (judged?.fired ?? []).map((each) => ({ ...each, weight: group.rules[baseRule(each.rule)] ?? 'note' })),
      values: points.map(({ id: valueId, level, value, at }) => ({
        id: valueId,
        level,
        value,
        at,
        z: zOf(group, level, value, at),
        lots: null,
      })),
    });
  });
  const lots = await valueLots(
    view,
    batches.flatMap(({ values }) => values.map((each) => each.id)),
  );
  for (const value of batches.flatMap(({ values }) => values)) value.lots = lots.get(value.id) ?? null;
  return { series: seriesView(group), batches };
}

/** Values of the present millisecond are among those up to now. */
function after(now: string): string {
  return new Date(Date.parse(now) + 1).toISOString();
}

function zOf({ series, limits }: SeriesGroup, level: string, value: number, at: string): number | null {
  const own = series.find((each) => each.level === level)?.id;
  const held = limits.filter(({ seriesId, since }) => seriesId === own && since <= at);
  const last = held.reduce<LimitsRow | null>((best, each) => (best && best.since > each.since ? best : each), null);
  return last ? (value - last.mean) / last.sd : null;
}
