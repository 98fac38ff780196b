import { v7 as newId } from 'uuid';
import type { Entry } from '../../core/record/record.js';
import { canonicalText } from '../../core/record/record.js';
import { pageOf, type Topic, topicsOf } from '../../core/webhook/topics.js';
import { NoticeRow } from '../rows/jobs.entity.js';
import { LookbackRow } from '../rows/lookback.entity.js';
import { WebhookDeliveryRow, WebhookRow } from '../rows/webhooks.entity.js';
import type { Unit } from '../unit.js';

/** Name of the job that hands a message to an endpoint; its target is the message. */
export const WEBHOOK_JOB = 'webhook';

/**
 * Queues, with an act's own commit, what other programs are to be told of it: the act's topic and the ids of what it was
 * about, never a word of its content. `entry` is null for housekeeping, which is told only where it told people.
 */
export async function announce(unit: Unit, entry: Entry | null): Promise<void> {
  const looks = entry?.rows.some(({ table }) => table === 'lookback') ?? false;
  if (!looks && unit.told === null && topicsOf({ act: unit.act, lookbacks: [], told: null }).length === 0) return;
  const endpoints = await unit.recallLive('webhooks', [WebhookRow], () => unit.all(WebhookRow, { active: true }));
  if (endpoints.length === 0) return;
  const opened = looks ? await unit.all(LookbackRow, { seq: unit.seq }) : [];
  const notice = unit.told === null ? null : await unit.one(NoticeRow, { id: unit.told });
  const lookbacks = opened.map(({ cause }) => cause);
  for (const topic of topicsOf({ act: unit.act, lookbacks, told: notice?.matter ?? null })) {
    const subject = topic === 'notice' && notice ? { kind: 'notice', id: notice.id } : (entry?.subject ?? null);
    for (const { id } of endpoints.filter(({ topics }) => topics.includes(topic))) {
      await queueDelivery(unit, id, topic, subject, entry?.seq ?? null);
    }
  }
}

/** Queues one message to an endpoint with the unit's commit; answers its id. */
export async function queueDelivery(
  unit: Unit,
  webhookId: string,
  topic: Topic | 'trial',
  subject: { kind: string; id: string } | null,
  record: number | null,
): Promise<string> {
  const id = newId();
  const { laboratoryId: laboratory, at } = unit;
  const page = subject && pageOf(subject);
  const body = canonicalText({ id, topic, at, laboratory, record, subject, page });
  await unit.add(WebhookDeliveryRow, {
    ...{ id, webhookId, at, topic, body },
    ...{ attempts: 0, deliveredAt: null, error: null },
  });
  await unit.enqueue(WEBHOOK_JOB, id);
  return id;
}
