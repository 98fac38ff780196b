import type { EvaluationDto } from '../../../contract/control-series.dto.js';
import type { MonthControlsDto, MonthFailureDto } from '../../../contract/month.dto.js';
import { daysOfUse } from '../../../core/controls/days-of-use.js';
import type { TaskState } from '../../../core/controls/task.js';
import { plusMs } from '../../../core/time/instant.js';
import { localDay } from '../../../core/time/zone.js';
import type { View } from '../../view.js';
import { evaluated } from '../control-evaluation.js';
import { controlResults } from '../control-results.js';
import { controlSchedule } from '../control-schedule.js';
import { allSeries } from '../control-series.js';
import { failureActs } from '../failures.js';
import type { MonthSpan } from './span.js';

const NEEDED: readonly TaskState[] = ['due', 'overdue', 'missed', 'answered'];

/** Controls of a month by protocol: what was due, what was done and what failed, and days of use without one. */
export async function monthControls(
  view: View,
  { from, to, until, now, zone }: MonthSpan,
  titles: ReadonlyMap<string, string>,
): Promise<{ controls: MonthControlsDto[]; failures: MonthFailureDto[] }> {
  const days = { from: localDay(from, zone), to: localDay(plusMs(until, -1), zone) };
  const schedules = await controlSchedule(view, days, now);
  const results = await controlResults(view, { from, to });
  const failed = results.filter(({ passed }) => !passed);
  const acts = await failureActs(
    view,
    failed.map(({ id }) => id),
  );
  const controls = schedules.map((schedule): MonthControlsDto => {
    const { protocolId, title, tasks } = schedule;
    const needed = tasks.filter(({ state }) => NEEDED.includes(state));
    const count = (...states: TaskState[]): number => needed.filter(({ state }) => states.includes(state)).length;
    const { days: _days, ...use } = daysOfUse(schedule, localDay(now, zone));
    return {
      ...use,
      protocolId,
      title,
      due: needed.length,
      answered: count('answered'),
      missed: count('missed'),
      open: count('due', 'overdue'),
      results: results.filter((each) => each.protocolId === protocolId).length,
      failed: failed.filter((each) => each.protocolId === protocolId).length,
    };
  });
  return {
    controls: controls.filter(({ due, results: read, uses }) => due + read + uses > 0),
    failures: failed.map(({ id, protocolId, requirement, at, observed }) => ({
      id,
      title: titles.get(protocolId) ?? protocolId,
      requirement,
      at,
      observed,
      closed: acts.some(({ resultId, kind }) => resultId === id && kind === 'closed'),
    })),
  };
}

/** Series of numbers with values in a month, each judged as it is charted. */
export async function monthSeries(view: View, { from, to, now }: MonthSpan): Promise<EvaluationDto[]> {
  const all = await allSeries(view);
  const series: EvaluationDto[] = [];
  for (const { id } of all.filter(({ code }, n) => all.findIndex((each) => each.code === code) === n)) {
    const judged = await evaluated(view, id, { from, to }, now);
    if (judged.batches.length > 0) series.push(judged);
  }
  return series;
}
