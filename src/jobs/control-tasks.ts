import { counted } from '../core/counted.js';
import type { ControlTask } from '../core/controls/task.js';
import { plusDays } from '../core/time/days.js';
import { epochMs, type Instant } from '../core/time/instant.js';
import { localDay } from '../core/time/zone.js';
import { writeTasks } from '../store/acts/write-tasks.js';
import { controlSchedule } from '../store/questions/control-schedule.js';
import { keysWritten } from '../store/questions/control-tasks.js';
import { needLaboratory } from '../store/questions/laboratories.js';
import { peopleOf } from '../store/questions/people.js';
import { JOB_NAMES } from './names.js';
import { queueNext } from './recurring.js';
import type { Handler } from './runner.js';

/** A stop of a week loses no task. */
const BACK_DAYS = 7;
const AHEAD_DAYS = 14;
/** Written in one transaction, so that acts at the bench need not wait for all. */
const AT_ONCE = 2_000;
/** How long a control may be overdue before the managers are told. Common practice, no source. */
const ESCALATED_AFTER_MS = 2 * 3_600_000;

interface Titled extends ControlTask {
  title: string;
}

/**
 * Writes down the control tasks of the days to come, and those of past days that a lost or stopped queue left out, each
 * once; reminds of what is due today and of what is overdue, and tells the managers of what stays so. What is due is
 * computed from facts; this only announces it.
 */
export const controlTasks: Handler = async (laboratoryId, { store, clock }) => {
  // First of all, so that a look which cannot be taken does not end the row of looks.
  const { zone } = await store.read(laboratoryId, needLaboratory);
  await store.housekeep(laboratoryId, (unit) => queueNext(unit, JOB_NAMES.controlTasks, zone, clock));
  const now = clock.now();
  const today = localDay(now, zone);
  const window = { from: plusDays(today, -BACK_DAYS), to: plusDays(today, AHEAD_DAYS) };
  const { tasks, written } = await store.read(laboratoryId, async (view) => ({
    tasks: (await controlSchedule(view, window, now)).flatMap(({ title, tasks: own }) =>
      own.map((task): Titled => ({ ...task, title })),
    ),
    written: await keysWritten(view, window.from),
  }));
  const missing = tasks.filter(({ key }) => !written.has(key));
  for (let from = 0; from < missing.length; from += AT_ONCE) {
    await store.housekeep(laboratoryId, (unit) => writeTasks(unit, missing.slice(from, from + AT_ONCE)));
  }
  const notices = remindersOf(tasks, { now, today, zone });
  const late = escalationsOf(tasks, { now, today, zone });
  if (notices.length === 0 && late.length === 0) return;
  const managers = await store.read(laboratoryId, (view) => peopleOf(view, 'manager'));
  await store.housekeep(laboratoryId, async (unit) => {
    for (const { matter, text, runId } of notices) await unit.tell(matter, text, runId, { path: '/controls' });
    for (const { matter, text } of late) {
      for (const personId of managers)
        await unit.tell(`${matter}:${personId}`, text, null, { path: '/controls', personId });
    }
  });
};

interface When {
  now: Instant;
  today: string;
  zone: string;
}

/** One notice a day for what is due by the calendar, one each for what an event made due or what is overdue. */
function remindersOf(
  tasks: readonly Titled[],
  { today, zone }: When,
): { matter: string; text: string; runId: string | null }[] {
  const due = tasks.filter(({ state, about }) => state === 'due' && about === null);
  const [first] = due;
  const daily =
    first && due.some(({ dueFrom }) => localDay(dueFrom, zone) === today)
      ? [{ matter: `controls-due:${today}`, text: `Controls due today: ${due.map(called).join('; ')}.`, runId: null }]
      : [];
  // What a run on the bench waits for is told by the job that looks at its readings.
  const single = tasks.filter(
    ({ state, about, uncovered }) => about !== null && state === 'due' && !uncovered.includes(about),
  );
  const overdue = tasks.filter(
    ({ state, about, uncovered }) => state === 'overdue' && !(about !== null && uncovered.includes(about)),
  );
  return [
    ...daily,
    ...single.map((task) => ({
      matter: `control-due:${task.key}`,
      text: `A control is due: ${called(task)}.`,
      runId: null,
    })),
    ...overdue.map((task) => ({
      matter: `control-overdue:${task.key}`,
      text: `A control is overdue: ${called(task)}. ${waiting(task)}`,
      runId: task.uncovered[0] ?? null,
    })),
  ];
}

/** One notice a protocol and day for the managers: what has been overdue for long, and what was missed. */
function escalationsOf(tasks: readonly Titled[], { now, today }: When): { matter: string; text: string }[] {
  const late = tasks.filter(
    ({ state, dueUntil }) =>
      state === 'missed' ||
      (state === 'overdue' && dueUntil !== null && epochMs(now) - epochMs(dueUntil) >= ESCALATED_AFTER_MS),
  );
  const protocols = [...new Set(late.map(({ protocolId }) => protocolId))];
  return protocols.flatMap((protocolId) => {
    const own = late.filter((task) => task.protocolId === protocolId);
    return (['missed', 'overdue'] as const).flatMap((state) => {
      const [first, ...others] = own.filter((task) => task.state === state);
      if (!first) return [];
      const days = [first, ...others].map(({ period }) => period).sort();
      const said = state === 'missed' ? 'Patients’ runs went without a control' : 'Controls stay overdue';
      const text = `${said}: ${[first, ...others].map(called).join('; ')}. ${waiting(first)}`;
      return [{ matter: `controls-${state}:${protocolId}:${state === 'missed' ? days.at(-1) : today}`, text }];
    });
  });
}

function called({ title, requirement, clock, period }: Titled): string {
  return `${title}, ${requirement} (${clock}, ${period})`;
}

function waiting({ uncovered }: ControlTask): string {
  if (uncovered.length === 0) return 'Stain it with what is in use and read it.';
  const runs = counted(uncovered.length, 'run');
  return `${runs} for patients cannot be released before it passed, or by an exception with its reason.`;
}
