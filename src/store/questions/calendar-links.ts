import { IsNull } from 'typeorm';
import { CalendarLinkRow } from '../rows/alerts.entity.js';
import type { View } from '../view.js';

/** A person's calendar addresses that work. */
export function liveCalendarLinks(view: View, personId: string): Promise<CalendarLinkRow[]> {
  return view.all(CalendarLinkRow, { personId, revokedAt: IsNull() });
}
