import { Like } from 'typeorm';
import { localDay } from '../../core/time/zone.js';
import { LotRow } from '../rows/stock.entity.js';
import type { Unit } from '../unit.js';
import { needLaboratory } from './laboratories.js';

/** What the next lot of a reagent that is made here today is called, when nobody calls it anything: '2026-11-25-2'. */
export async function nextBatch(unit: Unit, reagentCode: string): Promise<string> {
  const { zone } = await needLaboratory(unit);
  const day = localDay(unit.at, zone);
  const made = await unit.all(LotRow, { reagentCode, origin: 'prepared', number: Like(`${day}-%`) });
  const numbers = made.map(({ number }) => Number(number.slice(day.length + 1))).filter(Number.isInteger);
  return `${day}-${Math.max(0, ...numbers) + 1}`;
}
