import { Injectable } from '@nestjs/common';
import { v7 as newId } from 'uuid';
import { Clock } from '../../clock.js';
import { Config } from '../../config.js';
import type { CalendarLinkDto, NewCalendarLinkDto } from '../../contract/notices.dto.js';
import { sha256 } from '../../core/record/record.js';
import { Refusal } from '../../core/refusal.js';
import { liveCalendarLinks } from '../../store/questions/calendar-links.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { calendarEntries } from '../../store/questions/matters.js';
import { CalendarLinkRow } from '../../store/rows/alerts.entity.js';
import { PersonRow } from '../../store/rows/people.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import type { Acting } from '../http/access.js';
import { newSecret } from '../http/secrets.js';
import { calendarFeed } from './feed.js';

/** Each person's address of the calendar, and what stands behind it. */
@Injectable()
export class CalendarService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
    private readonly config: Config,
  ) {}

  feed(token: string): Promise<string> {
    const { laboratoryId, publicUrl } = this.config;
    return this.store.read(laboratoryId, async (view) => {
      const link = await view.one(CalendarLinkRow, { tokenHash: sha256(token) });
      const person = link && (await view.one(PersonRow, { id: link.personId }));
      if (!link || link.revokedAt !== null || !person || person.disabled) {
        const message = 'This calendar address is not known or was revoked; make a new one on the page of notices.';
        throw new Refusal('not-found', 'not-found', message);
      }
      const { zone, name } = await needLaboratory(view);
      const now = this.clock.now();
      const entries = await calendarEntries(view, { now, zone });
      return calendarFeed(entries, { laboratoryId, name, zone, origin: publicUrl ?? '', now });
    });
  }

  async own({ laboratoryId, personId }: Acting): Promise<CalendarLinkDto[]> {
    if (personId === null) return [];
    const links = await this.store.read(laboratoryId, (view) => liveCalendarLinks(view, personId));
    return links.map(({ id, madeAt }) => ({ id, madeAt }));
  }

  make(acting: Acting): Promise<NewCalendarLinkDto> {
    const token = newSecret();
    return this.store.change(acting, 'calendar.shared', async (unit) => {
      await revokeOwn(unit);
      const { personId, at: madeAt } = unit;
      const id = newId();
      await unit.add(CalendarLinkRow, { id, personId, tokenHash: sha256(token), madeAt, revokedAt: null });
      unit.about('person', personId, { calendar: id });
      return { id, madeAt, path: `/api/calendar/${token}.ics` };
    });
  }

  async revoke(acting: Acting): Promise<void> {
    await this.store.change(acting, 'calendar.unshared', async (unit) => {
      if ((await revokeOwn(unit)) > 0) unit.about('person', unit.personId);
      return null;
    });
  }
}

async function revokeOwn(unit: Unit): Promise<number> {
  const links = await liveCalendarLinks(unit, unit.personId);
  for (const { id } of links) await unit.change(CalendarLinkRow, { id }, { revokedAt: unit.at });
  return links.length;
}
