import { In, LessThan } from 'typeorm';
import { WEBHOOK_JOB } from '../acts/announce.js';
import { JobRow } from '../rows/jobs.entity.js';
import { WebhookDeliveryRow, WebhookRow, WebhookSecretRow } from '../rows/webhooks.entity.js';
import type { View } from '../view.js';

export type KnownWebhook = WebhookRow & { secrets: Pick<WebhookSecretRow, 'id' | 'createdAt' | 'until'>[] };

/** Every endpoint with what is told of its secrets, in the order in which they were made. */
export async function webhooks(view: View): Promise<KnownWebhook[]> {
  const rows = await view.all(WebhookRow);
  const secrets = await view.all(WebhookSecretRow, { webhookId: In(rows.map(({ id }) => id)) });
  return rows.map((row) => ({
    ...row,
    secrets: secrets
      .filter(({ webhookId }) => webhookId === row.id)
      .map(({ id, createdAt, until }) => ({ id, createdAt, until })),
  }));
}

/** A message and whether it is still tried. */
export type KnownDelivery = WebhookDeliveryRow & { state: 'waiting' | 'delivered' | 'given up' };

/** Messages, newest first, those to one endpoint only when it is given. */
export async function deliveries(
  view: View,
  { webhookId, take, after }: { webhookId?: string | undefined; take: number; after?: string | undefined },
): Promise<KnownDelivery[]> {
  const where = {
    ...(webhookId === undefined ? {} : { webhookId }),
    ...(after === undefined ? {} : { id: LessThan(after) }),
  };
  const rows = await view.all(WebhookDeliveryRow, where, { order: { id: 'DESC' }, take });
  const open = rows.filter(({ deliveredAt }) => deliveredAt === null).map(({ id }) => id);
  const jobs = await view.all(JobRow, { name: WEBHOOK_JOB, target: In(open), state: In(['waiting', 'handed']) });
  const tried = new Set(jobs.map(({ target }) => target));
  return rows.map((row) => {
    const waits = tried.has(row.id) ? ('waiting' as const) : ('given up' as const);
    return { ...row, state: row.deliveredAt === null ? waits : 'delivered' };
  });
}
