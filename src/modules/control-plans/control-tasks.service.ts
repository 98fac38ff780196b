import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type {
  ControlTaskDto,
  ControlTaskQueryDto,
  ControlTasksDto,
  DaysWithoutDto,
  DaysWithoutQueryDto,
} from '../../contract/control-plans.dto.js';
import { openOn } from '../../core/controls/calendar.js';
import { daysOfUse } from '../../core/controls/days-of-use.js';
import { type ControlTask, TASK_STATES } from '../../core/controls/task.js';
import { Refusal } from '../../core/refusal.js';
import { daysBetween, plusDays } from '../../core/time/days.js';
import { endOfDay, localDay } from '../../core/time/zone.js';
import { calendarOf } from '../../store/questions/control-plans.js';
import { controlSchedule, type ProtocolSchedule } from '../../store/questions/control-schedule.js';
import { aboutWords, type UnreadControl, unreadControls } from '../../store/questions/control-tasks.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { Store } from '../../store/store.js';
import type { Acting } from '../http/access.js';

/** More days at once would make a reviewer wait. */
const LONGEST_DAYS = 100;

/** What is due, and what went without; computed from facts when asked. */
@Injectable()
export class ControlTasksService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  ofDay({ laboratoryId }: Acting, { state, station, day: wanted }: ControlTaskQueryDto): Promise<ControlTasksDto> {
    const now = this.clock.now();
    return this.store.read(laboratoryId, async (view) => {
      const { zone } = await needLaboratory(view);
      const today = localDay(now, zone);
      const day = wanted ?? today;
      // Refuses text that is no day.
      endOfDay(day, zone);
      const schedules = await controlSchedule(
        view,
        { from: plusDays(day, day === today ? -CARRIED_DAYS : 0), to: day },
        now,
      );
      const chosen = schedules.flatMap((schedule) =>
        schedule.tasks
          .filter((task) => belongsTo(task, day, zone))
          .filter((task) => state === undefined || task.state === state)
          .filter((task) => station === undefined || task.station === null || task.station === station)
          .map((task) => ({ schedule, task })),
      );
      const words = await aboutWords(
        view,
        chosen.map(({ task }) => task),
      );
      const unread = await unreadControls(view);
      const tasks = chosen.map(({ schedule, task }) => taskDto(schedule, task, words.get(task.key) ?? null, unread));
      return { day, tasks: tasks.sort(byUrgency) };
    });
  }

  daysWithout({ laboratoryId }: Acting, { from, to, protocol }: DaysWithoutQueryDto): Promise<DaysWithoutDto> {
    const now = this.clock.now();
    return this.store.read(laboratoryId, async (view) => {
      const { zone } = await needLaboratory(view);
      // Refuses text that is no day.
      for (const day of [from, to]) endOfDay(day, zone);
      const days = daysBetween(from, to) + 1;
      if (days < 1 || days > LONGEST_DAYS) {
        const message =
          days < 1
            ? `The period ends on ${to}, before it begins on ${from}; turn them round.`
            : `${from} to ${to} are ${days} days; ask for at most ${LONGEST_DAYS} at once.`;
        throw new Refusal('invalid', 'bad-period', message, [{ at: 'to', message }]);
      }
      const calendar = await calendarOf(view);
      const schedules = await controlSchedule(view, { from, to }, now, protocol);
      return {
        from,
        to,
        closed: Array.from({ length: days }, (_, n) => plusDays(from, n)).filter((day) => !openOn(calendar, day, zone)),
        protocols: schedules
          .map((each) => daysOfUse(each, localDay(now, zone)))
          .filter(({ daysOfUse }) => daysOfUse > 0),
      };
    });
  }
}

/** Tasks without a period stay on today's list so long after they came up. */
const CARRIED_DAYS = 31;

/** Whether a task stands on a day's list: it came up on that day, its period covers it, or it is still open. */
function belongsTo(task: ControlTask, day: string, zone: string): boolean {
  const open = task.state === 'due' || task.state === 'overdue';
  if (task.state === 'not needed') return false;
  if (localDay(task.dueFrom, zone) === day) return true;
  return open && localDay(task.dueFrom, zone) < day;
}

function taskDto(
  { title, plan }: ProtocolSchedule,
  task: ControlTask,
  words: string | null,
  unread: readonly UnreadControl[],
): ControlTaskDto {
  const control = plan.controls.find(({ id }) => id === task.requirement);
  const open = task.state === 'due' || task.state === 'overdue';
  return {
    ...task,
    title,
    kind: control?.kind ?? 'positive',
    material: control?.material ?? '',
    expected: control?.expected ?? '',
    aboutWords: words,
    unread: unread
      .filter((each) => open && each.protocolId === task.protocolId && each.requirement === task.requirement)
      .map(({ runId, subjectId, station }) => ({ runId, subjectId, station })),
  };
}

const ORDER = [
  'overdue',
  'due',
  'missed',
  'to come',
  'answered',
  'not needed',
] as const satisfies (typeof TASK_STATES)[number][];

function byUrgency(a: ControlTaskDto, b: ControlTaskDto): number {
  return (
    ORDER.indexOf(a.state) - ORDER.indexOf(b.state) ||
    a.title.localeCompare(b.title) ||
    (a.dueFrom < b.dueFrom ? -1 : a.dueFrom > b.dueFrom ? 1 : 0)
  );
}
