import { beforeEach, describe, expect, it } from '@jest/globals';
import type { CalendarLinkDto, NewCalendarLinkDto } from '../../src/contract/notices.dto.js';
import type { LotDto } from '../../src/contract/stock.dto.js';
import { calendarFeed } from '../../src/modules/calendar/feed.js';
import { CalendarLinkRow } from '../../src/store/rows/alerts.entity.js';
import { PersonRow } from '../../src/store/rows/people.entity.js';
import { type Client, LABORATORY } from '../support/app.js';
import { freshSqlite } from '../support/databases.js';
import { onProgram, test } from '../support/stage.js';

/** Reads content lines as RFC 5545 has them: CRLF (3.1), no line above 75 octets, folds undone (3.1). */
function contentLines(text: string): string[] {
  expect(text.endsWith('\r\n')).toBe(true);
  const lines = text.slice(0, -2).split('\r\n');
  for (const line of lines) {
    expect(line).not.toMatch(/[\r\n]/);
    expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75);
  }
  return text
    .slice(0, -2)
    .replaceAll(/\r\n[ \t]/g, '')
    .split('\r\n');
}

/** The events of a feed, property by property; checks the frame that RFC 5545 3.4, 3.6 and 3.6.1 ask for. */
function events(text: string): Record<string, string>[] {
  const lines = contentLines(text);
  expect([lines[0], lines.at(-1)]).toEqual(['BEGIN:VCALENDAR', 'END:VCALENDAR']);
  expect(lines).toContain('VERSION:2.0');
  expect(lines.some((line) => line.startsWith('PRODID:'))).toBe(true);
  const found: Record<string, string>[] = [];
  for (const line of lines) {
    if (line === 'BEGIN:VEVENT') found.push({});
    const [, name = '', value = ''] = /^([^:;]+)(?:;[^:]*)?:(.*)$/.exec(line) ?? [];
    const event = found.at(-1);
    if (event && name !== 'BEGIN' && name !== 'END') event[line.slice(0, line.indexOf(':'))] = value;
  }
  for (const event of found) {
    expect(event['UID']).toMatch(/^\S+$/);
    expect(event['DTSTAMP']).toMatch(/^\d{8}T\d{6}Z$/);
  }
  return found;
}

describe('The calendar', () => {
  onProgram(freshSqlite, { each: true, config: { publicUrl: 'https://bench.example' } });

  let manager: Client;

  beforeEach(async () => {
    manager = await test.as('manager');
  });

  const make = async (client = manager): Promise<NewCalendarLinkDto> =>
    (await client.post<NewCalendarLinkDto>('/api/session/calendar', {})).body;
  const feed = async (path: string): Promise<string> => (await test.nobody.get<string>(path)).body;
  const receive = async (number: string, expiry: string): Promise<LotDto> =>
    (
      await manager.post<LotDto>('/api/lots', {
        reagent: 'acridine-orange-working',
        number,
        source: 'Quill Dyeworks (invented)',
        expiry,
        containers: [{}],
      })
    ).body;

  it('holds the last day of each lot as a whole day, with a UID that stays', async () => {
    const lot = await receive('QUILL-7', '2027-01-31');
    const { path } = await make();
    const answer = await test.nobody.get<string>(path);
    expect([answer.status, answer.headers.get('content-type')]).toEqual([200, 'text/calendar; charset=utf-8']);
    const [event, ...others] = events(answer.body);
    expect(others).toEqual([]);
    expect(event).toMatchObject({
      UID: `lot-expiry:${lot.id}@${LABORATORY}.stainwright.invalid`,
      'DTSTART;VALUE=DATE': '20270131',
      'DTEND;VALUE=DATE': '20270201',
      SUMMARY: expect.stringContaining('QUILL-7'),
    });
    test.clock.forward(3_600_000);
    expect(events(await feed(path)).map(({ UID }) => UID)).toEqual([event?.['UID']]);
    expect(answer.body).toContain('X-WR-TIMEZONE:Atlantic/Azores');
  });

  it('folds long lines, escapes what must be, and gives instants in UTC', () => {
    const text = calendarFeed(
      [
        {
          key: 'bath-due:c1',
          at: '2026-11-26T14:30:00.000Z',
          title:
            'Change the bath; then, as every week, filter the one beside it — färben, rühren, spülen, entwässern, aufhellen',
          about: 'First line\nsecond line, with \\ and ;',
          path: '/stock/l1',
        },
      ],
      {
        laboratoryId: 'quill',
        name: 'Saltmarrow (invented)',
        zone: 'Atlantic/Azores',
        origin: 'https://bench.example',
        now: '2026-11-25T09:00:00.000Z',
      },
    );
    const [event] = events(text);
    expect(event).toMatchObject({ DTSTART: '20261126T143000Z', DTSTAMP: '20261125T090000Z' });
    expect(event?.['SUMMARY']).toContain('Change the bath\\; then\\, as every week');
    expect(event?.['SUMMARY']).toContain('entwässern\\, aufhellen');
    expect(event?.['DESCRIPTION']).toMatch(/^First line\\nsecond line\\, with \\\\ and \\;\\n/);
  });

  it('has an address of one’s own that ends when it is revoked, made anew, or its person is disabled', async () => {
    const first = await make();
    expect((await manager.get<CalendarLinkDto[]>('/api/session/calendar')).body).toEqual([
      { id: first.id, madeAt: first.madeAt },
    ]);
    const stored = await test.store.read(LABORATORY, (view) => view.all(CalendarLinkRow));
    expect(JSON.stringify(stored)).not.toContain(first.path.slice('/api/calendar/'.length, -'.ics'.length));
    const second = await make();
    expect((await test.nobody.get(first.path)).status).toBe(404);
    expect((await test.nobody.get(second.path)).status).toBe(200);
    expect((await manager.delete('/api/session/calendar')).status).toBe(204);
    expect((await test.nobody.get(second.path)).status).toBe(404);
    expect((await test.nobody.get('/api/calendar/made-up.ics')).status).toBe(404);

    const technician = await test.as('technician');
    const { path } = await make(technician);
    expect((await test.nobody.get(path)).status).toBe(200);
    await test.store.housekeep(LABORATORY, (unit) =>
      unit.change(PersonRow, { login: 'technician-2' }, { disabled: true }),
    );
    expect((await test.nobody.get(path)).status).toBe(404);
  });
});
