import { v7 as newId } from 'uuid';
import type { ControlTask } from '../../core/controls/task.js';
import { literal } from '../sqlite-script.js';
import type { Unit } from '../unit.js';

/** Fewer than either database takes as values of one statement. */
const ROWS_A_STATEMENT = 1_000;

const COLUMNS = [
  'id',
  'laboratory_id',
  'key',
  'protocol_id',
  'requirement',
  'clock',
  'clause',
  'about',
  'period',
  'station',
  'due_from',
  'due_until',
  'written_at',
] as const;

export type TaskToWrite = Omit<ControlTask, 'state' | 'answeredBy' | 'uncovered'>;

/**
 * Writes down the control tasks that are not there yet. The key decides, in the database, so that workers who write the
 * same ones at once, or again after a queue was lost, leave each there once.
 */
export async function writeTasks(unit: Unit, tasks: readonly TaskToWrite[]): Promise<void> {
  const manager = await unit.ready();
  // SQLite's driver binds so many parameters far more slowly than the database reads so many literals.
  const script = unit.connection.options.type === 'sqlite';
  for (let from = 0; from < tasks.length; from += ROWS_A_STATEMENT) {
    const values: unknown[] = [];
    const rows = tasks.slice(from, from + ROWS_A_STATEMENT).map((task) => {
      const places = valuesOf(task, unit).map((value) => (script ? literal(value) : `$${values.push(value)}`));
      return `(${places.join(', ')})`;
    });
    await manager.query(
      `INSERT INTO control_task (${COLUMNS.join(', ')}) VALUES ${rows.join(', ')}
        ON CONFLICT (laboratory_id, key) DO NOTHING`,
      values,
    );
  }
}

function valuesOf(task: TaskToWrite, { laboratoryId, at }: Unit): (string | null)[] {
  const { key, protocolId, requirement, clock, clause, about, period, station, dueFrom, dueUntil } = task;
  return [
    newId(),
    laboratoryId,
    key,
    protocolId,
    requirement,
    clock,
    clause,
    about,
    period,
    station,
    dueFrom,
    dueUntil,
    at,
  ];
}
