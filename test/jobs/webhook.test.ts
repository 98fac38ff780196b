import { afterEach, beforeEach, describe, expect, it } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import { BullRunner } from '../../src/jobs/bull.js';
import { EmbeddedRunner } from '../../src/jobs/embedded.js';
import { HANDLERS, PATIENCE_OF } from '../../src/jobs/handlers.js';
import { JobReads } from '../../src/jobs/job-reads.js';
import { perform } from '../../src/jobs/perform.js';
import type { Handler } from '../../src/jobs/runner.js';
import { deliver } from '../../src/jobs/webhook.js';
import { queueDelivery, WEBHOOK_JOB } from '../../src/store/acts/announce.js';
import { deliveries } from '../../src/store/questions/webhooks.js';
import { JobRow } from '../../src/store/rows/jobs.entity.js';
import { WebhookRow, WebhookSecretRow } from '../../src/store/rows/webhooks.entity.js';
import { hmacSha256 } from '../../src/core/record/hmac.js';
import { placesIn } from '../support/checkpoints.js';
import { freshSqlite } from '../support/databases.js';
import { describeWith } from '../support/needs.js';
import { type Receiver, receiver } from '../support/receiver.js';
import { emptyRedis } from '../support/redis.js';
import { PATIENCE_MS, until } from '../support/until.js';
import { Bench, type Kind, LABORATORY } from './bench.js';

const actor = { laboratoryId: LABORATORY, personId: 'ada', deviceId: null };

/** What becomes of a message, whatever delivers the jobs. */
function messages(name: string, kind: () => Kind): void {
  describe(`Messages to an endpoint, ${name}`, () => {
    let bench: Bench;
    let to: Receiver;

    beforeEach(async () => {
      to = await receiver();
      bench = await Bench.open(await freshSqlite(), kind());
      await bench.store.change(actor, 'webhook.added', async (unit) => {
        const values = { name: 'Results desk', url: to.url, topics: ['notice' as const], active: true };
        await unit.add(WebhookRow, { id: 'w1', ...values, createdAt: unit.at });
        const secret = (id: string, until: string | null) =>
          unit.add(WebhookSecretRow, { id, webhookId: 'w1', secret: id, createdAt: unit.at, until });
        await secret('ended', '2026-01-01T00:00:00.000Z');
        await secret('old', '2126-01-01T00:00:00.000Z');
        await secret('new', null);
        unit.about('webhook', 'w1');
      });
    });

    afterEach(async () => {
      await bench.close();
      await to.stop();
    });

    /** As the program's own, but that a silence of the endpoint is not waited for fifteen seconds. */
    const impatient: Handler = (target, context) =>
      deliver(target, context, to.answers[0] === 'silence' ? 300 : PATIENCE_MS);
    const tell = (matter: string) => bench.store.housekeep(LABORATORY, (unit) => unit.tell(matter, 'The lamp is out.'));
    const sent = () => bench.store.read(LABORATORY, (view) => deliveries(view, { take: 50 }));

    it('go out with the commit that they tell of, once, signed by every secret that is not over', async () => {
      await bench.started({ handlers: HANDLERS });
      const from = Date.now();
      await tell('lamp');
      await tell('lamp');
      await bench.allDone();
      expect(to.received).toHaveLength(1);
      const [{ at, headers, body, path }] = to.received as [Receiver['received'][0]];
      const [delivery] = await sent();
      expect([path, body, delivery?.state, delivery?.attempts]).toEqual(['/in', delivery?.body, 'delivered', 1]);
      const told = JSON.parse(body) as Record<string, unknown>;
      expect(told).toMatchObject({ id: delivery?.id, topic: 'notice', laboratory: LABORATORY, page: '/notices' });
      expect(body).not.toContain('lamp');
      const timestamp = String(headers['stainwright-timestamp']);
      expect(Number(timestamp)).toBeGreaterThanOrEqual(Math.floor(from / 1000));
      expect(Number(timestamp)).toBeLessThanOrEqual(Math.floor(at / 1000));
      expect(headers['stainwright-delivery']).toBe(delivery?.id);
      const codes = ['new', 'old'].map((secret) => `v1=${hmacSha256(secret, `${timestamp}.${body}`)}`);
      expect(headers['stainwright-signature']).toBe(codes.join(','));
    });

    it('are tried again after a failure, a silence, a hang-up and a redirect, each time signed anew', async () => {
      to.answers.push(500, 'silence', 'hang up', 307);
      const errors: (string | null | undefined)[] = [];
      const noting: Handler = async (target, context) => {
        // What people read of the attempt before.
        errors.push((await sent())[0]?.error);
        await impatient(target, context);
      };
      await bench.started({ handlers: { [WEBHOOK_JOB]: noting }, patience: { attempts: 6, firstMs: 100 } });
      await tell('lamp');
      await bench.allDone();
      expect(errors).toEqual([
        null,
        expect.stringMatching(/answered 500/),
        expect.stringMatching(/not answer within 0.3 seconds/),
        expect.stringMatching(/hang up|ECONNRESET/),
        expect.stringMatching(/answered 307, a redirect, which is not followed/),
      ]);
      expect(new Set(to.received.map(({ body }) => body)).size).toBe(1);
      expect(to.received.map(({ path }) => path)).toEqual(Array(5).fill('/in'));
      const waits = to.received.slice(1).map(({ at }, n) => at - to.received[n]!.at);
      expect(waits[3]).toBeGreaterThanOrEqual(800);
      expect(await sent()).toMatchObject([{ attempts: 5, error: null }]);
    });

    it('are given up in the end, which people see, and go out when they are sent again', async () => {
      to.answers.push(500, 500);
      await bench.started({ handlers: { [WEBHOOK_JOB]: impatient }, patience: { attempts: 2, firstMs: 50 } });
      const id = await bench.store.housekeep(LABORATORY, (unit) => queueDelivery(unit, 'w1', 'trial', null, null));
      await until('it is given up', async () => (await sent())[0]?.state === 'given up');
      await until('people are told', async () => (await bench.notices()).length === 1);
      await bench.store.housekeep(LABORATORY, (unit) => unit.enqueue(WEBHOOK_JOB, id));
      await until('it was taken', async () => (await sent()).find((each) => each.id === id)?.state === 'delivered');
      expect(to.received.filter(({ body }) => body.includes(id))).toHaveLength(3);
    });
  });
}

messages('done in the program', () => ({ runner: (work) => new EmbeddedRunner(work), close: () => Promise.resolve() }));

describeWith('redis', 'Messages through Redis', (url) => {
  messages('done through Redis', () => {
    const prefix = `test-${randomUUID()}`;
    return {
      runner: (work) => new BullRunner(work, { url, prefix, works: true }),
      close: async () => void (await emptyRedis(url, prefix)),
    };
  });
});

describe('A message that is not taken', () => {
  it('is tried twelve times within some hours, each time after a longer while', async () => {
    const bench = await Bench.open(await freshSqlite(), {
      runner: (work) => new EmbeddedRunner(work),
      close: () => Promise.resolve(),
    });
    try {
      await bench.act('m1', { name: WEBHOOK_JOB, id: 'j1' });
      const { store } = bench;
      let now = new Date().toISOString();
      const clock = { now: () => now };
      const waits: number[] = [];
      const places = {
        checkpoints: placesIn('/nonexistent'),
        filesDir: '/nonexistent',
        mail: null,
        warn: () => undefined,
      };
      const handlers = { [WEBHOOK_JOB]: () => Promise.reject(new Error('away')) };
      const work = {
        store,
        clock,
        ...places,
        handlers,
        patience: { attempts: 1, firstMs: 1 },
        patienceOf: PATIENCE_OF,
      };
      const rows = { read: new JobReads(store).now, done: () => Promise.resolve() };
      for (;;) {
        const next = await perform(work, LABORATORY, 'j1', rows);
        if (next === null) break;
        waits.push((Date.parse(next) - Date.parse(now)) / 1000);
        now = next;
      }
      expect(waits).toEqual([5, 10, 20, 40, 80, 160, 320, 640, 1280, 2560, 3600]);
      expect(await store.read(LABORATORY, (view) => view.one(JobRow, { id: 'j1' }))).toMatchObject({
        state: 'failed',
        attempts: 12,
      });
    } finally {
      await bench.close();
    }
  });
});
