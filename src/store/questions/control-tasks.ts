import { In, LessThanOrEqual, MoreThanOrEqual, And } from 'typeorm';
import { clockName } from '../../core/controls/planned.js';
import type { ControlTask } from '../../core/controls/schedule.js';
import { plusDays } from '../../core/time/days.js';
import type { Instant } from '../../core/time/instant.js';
import { ControlTaskRow } from '../rows/control-plans.entity.js';
import { InstrumentActRow, InstrumentRow } from '../rows/instruments.entity.js';
import { LotRow } from '../rows/stock.entity.js';
import type { View } from '../view.js';

const LOT = clockName({ when: 'each new lot or shipment' });
const SERVICE = clockName({ when: 'after service of an instrument' });

/** What tasks are about, in words, by their keys: the lot, the instrument. */
export async function aboutWords(view: View, tasks: readonly ControlTask[]): Promise<Map<string, string>> {
  const ids = (clock: string): string[] => tasks.flatMap((task) => (task.clock === clock ? (task.about ?? []) : []));
  const lots = await view.all(LotRow, { id: In(ids(LOT)) });
  const acts = await view.all(InstrumentActRow, { id: In(ids(SERVICE)) });
  const instruments = await view.all(InstrumentRow, { id: In(acts.map(({ instrumentId }) => instrumentId)) });
  return new Map(
    tasks.flatMap(({ key, clock, about }): [string, string][] => {
      const lot = clock === LOT && lots.find(({ id }) => id === about);
      if (lot) return [[key, `lot ${lot.number} of ${lot.reagentCode}`]];
      const act = clock === SERVICE && acts.find(({ id }) => id === about);
      const instrument = act && instruments.find(({ id }) => id === act.instrumentId);
      return instrument ? [[key, `${instrument.name} (${instrument.code})`]] : [];
    }),
  );
}

/** Control tasks that were written down and fall due within a time, earliest first. */
export function dueControls(view: View, from: Instant, to: Instant): Promise<ControlTaskRow[]> {
  return view.all(
    ControlTaskRow,
    { dueFrom: And(MoreThanOrEqual(from), LessThanOrEqual(to)) },
    { order: { dueFrom: 'ASC', key: 'ASC' }, take: 2_000 },
  );
}

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
