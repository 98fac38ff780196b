import type { DueItem } from '../deviations/deviation.js';
import { epochMs, type Instant } from '../time/instant.js';
import type { CalendarEntry } from './calendar.js';
import type { Matter } from './matter.js';

/** Something that is to be done about a deviation, and by whom. */
export interface DeviationDue {
  id: string;
  number: number;
  title: string;
  item: DueItem;
  /** Name of who is to do it. */
  owner: string;
}

/** So long before its last day ends it is told of: common practice, no source. */
export const DEVIATION_NOTICE_DAYS = 7;

const WAYS: Record<DueItem['kind'], string> = { inquiry: 'inquiry', action: 'corrective action', check: 'check' };

/** An inquiry, action or check that is due within 7 days or overdue; null before. */
export function deviationMatter({ id, number, title, item, owner }: DeviationDue, now: Instant): Matter | null {
  if (epochMs(now) < epochMs(item.due) - DEVIATION_NOTICE_DAYS * 86_400_000) return null;
  return {
    key: `deviation due:${item.actId}`,
    kind: 'deviation due',
    text: `Deviation ${number}, ${title}: the ${WAYS[item.kind]} of ${owner} ${item.due <= now ? 'had' : 'has'} to be done before ${item.due}: ${item.what}`,
    path: `/deviations/${id}`,
  };
}

/** The last day of it in a calendar; `day` is that local day. */
export function deviationEntry({ id, number, item, owner }: DeviationDue, day: string): CalendarEntry {
  return {
    key: `deviation:${item.actId}`,
    day,
    title: `Deviation ${number}: ${WAYS[item.kind]}, ${owner}`,
    about: `${item.what}. Last day for it.`,
    path: `/deviations/${id}`,
  };
}
