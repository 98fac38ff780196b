import { afterEach, beforeEach, describe, expect, it } from '@jest/globals';
import type { NoticeDto, OutboxDto } from '../../src/contract/notices.dto.js';
import type { LotDto } from '../../src/contract/stock.dto.js';
import type { HandlerContext } from '../../src/jobs/runner.js';
import { alerts } from '../../src/jobs/alerts.js';
import { sendMail } from '../../src/jobs/mail.js';
import { recallTouched } from '../../src/jobs/recall-touched.js';
import { MAIL_JOB } from '../../src/store/acts/queue-mail.js';
import { JobRow } from '../../src/store/rows/jobs.entity.js';
import { RecallRow } from '../../src/store/rows/lookback.entity.js';
import { type Client, LABORATORY, startApp, type TestApp } from '../support/app.js';
import { placesIn } from '../support/checkpoints.js';
import { describeOnEachDatabase, type FreshDatabase, freshSqlite } from '../support/databases.js';
import { mailServer, type MailServer } from '../support/smtp.js';

const DAY_MS = 86_400_000;

async function received(manager: Client, changes: object = {}): Promise<LotDto> {
  const { status, body } = await manager.post<LotDto>('/api/lots', {
    reagent: 'acridine-orange-working',
    number: 'QUILL-7',
    source: 'Quill Dyeworks (invented)',
    expiry: '2026-12-31',
    containers: [{}],
    ...changes,
  });
  if (status !== 201) throw new Error(JSON.stringify(body));
  return body;
}

describeOnEachDatabase('Alerts', (fresh) => {
  let database: FreshDatabase;
  let test: TestApp;
  let manager: Client;
  const look = () =>
    alerts(LABORATORY, {
      store: test.store,
      clock: test.clock,
      checkpoints: placesIn('/nonexistent'),
      filesDir: '/nonexistent',
      mail: null,
      laboratoryId: LABORATORY,
    });
  const notices = async (): Promise<NoticeDto[]> =>
    (await (await test.signIn('keeper')).get<NoticeDto[]>('/api/notices')).body;

  beforeEach(async () => {
    database = await fresh();
    test = await startApp(database);
    await test.createPerson('keeper', ['manager']);
    manager = await test.signIn('keeper');
  });

  afterEach(async () => {
    await test.stop();
    await database.drop();
  });

  it('tells a matter once, however often and late the job runs, and anew when it comes back', async () => {
    const lot = await received(manager);
    await received(manager, { number: 'QUILL-8', expiry: '2027-12-31' });
    // 2026-11-25 is more than 30 days before the last day, 2026-12-31.
    await look();
    expect(await notices()).toEqual([]);

    test.clock.forward(7 * DAY_MS);
    await Promise.all([look(), look()]);
    await look();
    const first = await notices();
    expect(first.map(({ text, path }) => [text, path])).toEqual([
      [expect.stringMatching(/lot QUILL-7: last day of use is 2026-12-31/), `/stock/${lot.id}`],
    ]);

    const again = await test.signIn('keeper');
    const ids = first.map(({ id }) => id);
    expect(await again.post('/api/notices/seen', { ids })).toMatchObject({ status: 200, body: { seen: 1 } });
    // Who saw it first stands; a repeat marks nothing.
    expect(await again.post('/api/notices/seen', { ids })).toMatchObject({ status: 200, body: { seen: 0 } });
    expect(await again.post('/api/notices/seen', { ids: ['made-up'] })).toMatchObject({ status: 404 });
    await look();
    expect(await notices()).toEqual([]);

    // It goes away: the lot is rejected; and comes back: it was a mistake.
    const decide = (standing: string) =>
      again.post(`/api/lots/${lot.id}/decisions`, { standing, reason: 'Looked at again.' });
    expect((await decide('rejected')).status).toBe(201);
    await look();
    expect(await notices()).toEqual([]);
    expect((await decide('quarantined')).status).toBe(201);
    await look();
    await look();
    expect(await notices()).toMatchObject([{ text: first[0]?.text, seenBy: null, overAt: null }]);
    expect((await decide('rejected')).status).toBe(201);
    await look();
    // Unseen and over: it still stands there, as over.
    expect(await notices()).toMatchObject([{ overAt: test.clock.now() }]);
  });

  it('tells of picric acid before its water check is overdue, and of a place that nobody read today', async () => {
    await manager.post('/api/places', { code: 'PICRIC', name: 'Picric acid cupboard', dark: false, max: 25 });
    const picric = { reagent: 'picric-acid', number: 'PIC-1', expiry: '2029-01', containers: [{ size: '100 g' }] };
    const lot = await received(manager, { ...picric, place: 'PICRIC' });
    const told = async () => {
      await look();
      return (await notices()).filter(({ overAt }) => overAt === null).map(({ text, path }) => [text, path]);
    };
    const unread = [expect.stringMatching(/^Picric acid cupboard: no temperature was read/), '/stock/places/PICRIC'];
    // The laboratory has not said when it is open, so the middle of its day of work is noon, 13:00 UTC in the Azores.
    test.clock.set('2026-11-25T12:59:59.999Z');
    expect(await told()).toEqual([]);
    test.clock.set('2026-11-25T13:00:00.000Z');
    expect(await told()).toEqual([unread]);
    manager = await test.signIn('keeper');
    const reading = { value: 20, unit: 'Cel' };
    expect((await manager.post('/api/places/PICRIC/temperatures', reading)).status).toBe(201);
    expect(await told()).toEqual([]);

    // Half a year from the receipt, less 14 days.
    test.clock.set('2027-05-11T23:59:59.999Z');
    expect(await told()).toEqual([unread]);
    test.clock.set('2027-05-12T02:00:00.000Z');
    expect(await told()).toEqual([[expect.stringContaining('look at the water over it before'), `/stock/${lot.id}`]]);
    const [{ id } = { id: '' }] = lot.containers;
    manager = await test.signIn('keeper');
    expect((await manager.post(`/api/containers/${id}/water-checks`, { wet: true })).status).toBe(201);
    expect(await told()).toEqual([]);
  });

  it('queues the next look, one an hour', async () => {
    await look();
    await look();
    const jobs = await test.store.read(LABORATORY, (view) => view.all(JobRow, { name: 'alerts' }));
    expect(jobs.map(({ dueAt }) => dueAt)).toEqual(['2026-11-25T09:07:00.000Z']);
  });
});

describe('Mail', () => {
  let database: FreshDatabase;
  let test: TestApp;
  let server: MailServer;
  let manager: Client;
  let context: HandlerContext;

  beforeEach(async () => {
    database = await freshSqlite();
    server = await mailServer();
    const mail = {
      url: server.url,
      from: 'stain@laboratory.example',
      to: ['stock@laboratory.example', 'head@laboratory.example'],
    };
    test = await startApp(database, { config: { mail } });
    manager = await test.as('manager');
    const { store, clock } = test;
    context = {
      store,
      clock,
      checkpoints: placesIn('/nonexistent'),
      filesDir: '/nonexistent',
      mail,
      laboratoryId: LABORATORY,
    };
  });

  afterEach(async () => {
    await test.stop();
    await server.stop();
    await database.drop();
  });

  const outbox = async (): Promise<OutboxDto> => (await manager.get<OutboxDto>('/api/mail')).body;
  const waiting = async (): Promise<string[]> =>
    (await test.store.read(LABORATORY, (view) => view.all(JobRow, { name: MAIL_JOB, state: 'waiting' }))).map(
      ({ target }) => target,
    );

  it('brings what is new of a look in one message, through a real conversation', async () => {
    await received(manager, { expiry: '2026-12-01' });
    await received(manager, { number: 'QUILL-8', expiry: '2026-12-02' });
    await alerts(LABORATORY, context);
    await alerts(LABORATORY, context);
    const [mailId, ...others] = await waiting();
    expect(others).toEqual([]);
    expect(await outbox()).toMatchObject({
      from: 'stain@laboratory.example',
      items: [{ state: 'waiting', attempts: 0 }],
    });

    await sendMail(mailId as string, context);
    await sendMail(mailId as string, context);
    expect(server.handed).toHaveLength(1);
    const [{ from, to, data }] = server.handed as [(typeof server.handed)[number]];
    expect([from, to]).toEqual(['stain@laboratory.example', ['stock@laboratory.example', 'head@laboratory.example']]);
    expect(data).toContain('Subject: Stainwright: 2 matters to see to\r\n');
    expect(data).toContain(`Message-ID: <${mailId}@stainwright.invalid>\r\n`);
    expect(data.replaceAll('=\r\n', '')).toContain('QUILL-8: last day of use is 2026-12-02');
    expect((await outbox()).items).toMatchObject([{ state: 'sent', attempts: 1, error: null }]);
  });

  it('stays in the outbox with what the server said, until it goes', async () => {
    server.refusals.push('451 come back later');
    await manager.post('/api/mail/trial', {});
    const [mailId] = (await waiting()) as [string];
    await expect(sendMail(mailId, context)).rejects.toThrow('451');
    expect((await outbox()).items).toMatchObject([
      { state: 'waiting', attempts: 1, error: expect.stringContaining('451 come back later') },
    ]);
    await sendMail(mailId, context);
    expect((await outbox()).items).toMatchObject([{ state: 'sent', attempts: 2, error: null }]);

    // Given up by its job: said so, and tried again by a person.
    await manager.post('/api/mail/trial', {});
    const [second] = (await waiting()).filter((id) => id !== mailId) as [string];
    await test.store.housekeep(LABORATORY, (unit) => unit.change(JobRow, { target: second }, { state: 'failed' }));
    expect((await outbox()).items[0]).toMatchObject({ state: 'given up' });
    expect((await manager.post(`/api/mail/${second}/again`, {})).status).toBe(202);
    expect((await outbox()).items[0]).toMatchObject({ state: 'waiting' });
    expect(await manager.post(`/api/mail/${mailId}/again`, {})).toMatchObject({
      status: 409,
      body: { code: 'sent-already' },
    });
  });

  it('of a recall goes once, and each who is concerned gets a notice', async () => {
    const lot = await received(manager);
    await manager.post('/api/recalls', { lotId: lot.id, reason: 'The maker’s letter.' });
    const [recall] = await test.store.read(LABORATORY, (view) => view.all(RecallRow));
    await recallTouched(recall?.id ?? '', context);
    await recallTouched(recall?.id ?? '', context);
    const texts = (await manager.get<NoticeDto[]>('/api/notices')).body.map(({ text }) => text);
    expect(texts).toEqual([
      expect.stringContaining('touches 0 runs'),
      expect.stringMatching(/^Lot QUILL-7 of .* is recalled: set aside/),
    ]);
    expect(await waiting()).toHaveLength(1);
  });
});
