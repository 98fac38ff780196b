import { In } from 'typeorm';
import type { CalendarEntry } from '../../core/alerts/calendar.js';
import { clockName } from '../../core/controls/planned.js';
import type { ControlTask, TaskState } from '../../core/controls/task.js';
import { plusDays } from '../../core/time/days.js';
import type { Instant } from '../../core/time/instant.js';
import { localDay } from '../../core/time/zone.js';
import { InstrumentActRow, InstrumentRow } from '../rows/instruments.entity.js';
import { LotRow } from '../rows/stock.entity.js';
import type { View } from '../view.js';
import { controlSchedule } from './control-schedule.js';
import { catalogue } from './reagents.js';

const LOT = clockName({ when: 'each new lot or shipment' });
const SERVICE = clockName({ when: 'after service of an instrument' });

/** What tasks are about, in words, by their keys: the lot, the instrument. */
export async function aboutWords(view: View, tasks: readonly ControlTask[]): Promise<Map<string, string>> {
  const ids = (clock: string): string[] => tasks.flatMap((task) => (task.clock === clock ? (task.about ?? []) : []));
  const lots = await view.all(LotRow, { id: In(ids(LOT)) });
  const names = new Map((await catalogue(view)).map(({ code, name }) => [code, name]));
  const acts = await view.all(InstrumentActRow, { id: In(ids(SERVICE)) });
  const instruments = await view.all(InstrumentRow, { id: In(acts.map(({ instrumentId }) => instrumentId)) });
  return new Map(
    tasks.flatMap(({ key, clock, about }): [string, string][] => {
      const lot = clock === LOT && lots.find(({ id }) => id === about);
      if (lot) return [[key, `lot ${lot.number} of ${names.get(lot.reagentCode) ?? lot.reagentCode}`]];
      const act = clock === SERVICE && acts.find(({ id }) => id === about);
      const instrument = act && instruments.find(({ id }) => id === act.instrumentId);
      return instrument ? [[key, `${instrument.name} (${instrument.code})`]] : [];
    }),
  );
}

export interface UnreadControl {
  protocolId: string;
  requirement: string;
  runId: string;
  subjectId: string;
  station: string;
}

/** Controls in runs that stand on a bench now and were not read. */
export async function unreadControls(view: View): Promise<UnreadControl[]> {
  return (await (
    await view.ready()
  ).query(
    `SELECT revision.protocol_id AS "protocolId", run_subject.control AS "requirement", run_subject.run_id AS "runId",
            run_subject.subject_id AS "subjectId", bench_run.station AS "station"
       FROM bench_run
       JOIN run ON run.id = bench_run.run_id
       JOIN revision ON revision.id = run.revision_id
       JOIN run_subject ON run_subject.run_id = run.id AND run_subject.role = 'control' AND run_subject.control IS NOT NULL
      WHERE bench_run.laboratory_id = $1 AND NOT EXISTS (SELECT 1 FROM control_result read WHERE read.run_id = run.id
        AND read.subject_id = run_subject.subject_id AND NOT EXISTS (SELECT 1 FROM control_result_change gone
          WHERE gone.result_id = read.id AND gone.withdrawn = TRUE))
      ORDER BY run_subject.id`,
    [view.laboratoryId],
  )) as UnreadControl[];
}

/** So many days ahead a calendar shows controls: as far as they are written down. */
const CALENDAR_DAYS = 14;

/** Controls that are due or will be, for a calendar; those of runs on the bench are no matter of days. */
export async function controlEntries(
  view: View,
  { now, zone }: { now: Instant; zone: string },
): Promise<CalendarEntry[]> {
  const today = localDay(now, zone);
  const schedules = await controlSchedule(view, { from: today, to: plusDays(today, CALENDAR_DAYS) }, now);
  return schedules.flatMap(({ title, tasks }) =>
    tasks
      .filter(({ state, uncovered, about }) => OPEN.includes(state) && !(about !== null && uncovered.includes(about)))
      .map(({ key, requirement, clock, clause, dueFrom }) => {
        const day = localDay(dueFrom, zone);
        return {
          key: `control:${key}`,
          // What has been due since another day is still due today.
          day: day < today ? today : day,
          title: `Control: ${title}, ${requirement}`,
          about: `Due ${clock} (${clause}).`,
          path: '/controls',
        };
      }),
  );
}

const OPEN: readonly TaskState[] = ['to come', 'due', 'overdue'];

/** A task of a month that began before is looked for as well. */
const LONGEST_PERIOD_DAYS = 32;

/** Keys of the tasks that were written down and fall due on a local day or later. */
export async function keysWritten(view: View, since: string): Promise<Set<string>> {
  const rows = (await (
    await view.ready()
  ).query('SELECT key FROM control_task WHERE laboratory_id = $1 AND due_from >= $2', [
    view.laboratoryId,
    plusDays(since, -LONGEST_PERIOD_DAYS),
  ])) as { key: string }[];
  return new Set(rows.map(({ key }) => key));
}
