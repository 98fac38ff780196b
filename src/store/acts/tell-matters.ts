import { v7 as newId } from 'uuid';
import type { Matter } from '../../core/alerts/matter.js';
import { AlertRow } from '../rows/alerts.entity.js';
import { NoticeRow } from '../rows/jobs.entity.js';
import type { Unit } from '../unit.js';

/**
 * Tells each matter that holds and was not told since it began, forgets those that no longer hold, and answers the texts
 * that were new. A matter that went away and came back is told anew.
 */
export async function tellMatters(unit: Unit, matters: readonly Matter[]): Promise<string[]> {
  const told = await unit.all(AlertRow);
  const holding = new Set(matters.map(({ key }) => key));
  for (const { id, matter, noticeId } of told) {
    if (holding.has(matter)) continue;
    await unit.remove(AlertRow, { id });
    await unit.change(NoticeRow, { id: noticeId }, { overAt: unit.at });
  }
  const known = new Set(told.map(({ matter }) => matter));
  const fresh: string[] = [];
  for (const { key, kind, text, path } of matters) {
    if (known.has(key)) continue;
    known.add(key);
    const id = newId();
    const noticeId = await unit.tell(`${key}@${id}`, text, null, { path });
    if (noticeId === null) continue;
    await unit.add(AlertRow, { id, matter: key, kind, since: unit.at, noticeId });
    fresh.push(text);
  }
  return fresh;
}
