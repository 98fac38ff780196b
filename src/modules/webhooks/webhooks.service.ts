import { Injectable } from '@nestjs/common';
import { v7 as newId } from 'uuid';
import { Clock } from '../../clock.js';
import type {
  ChangedWebhookDto,
  DeliveryListDto,
  DeliveryQueryDto,
  NewWebhookDto,
  WebhookDto,
  WebhookWithSecretDto,
} from '../../contract/webhooks.dto.js';
import { Refusal } from '../../core/refusal.js';
import { checkAddress } from '../../core/webhook/address.js';
import { overlapEnd, signing } from '../../core/webhook/secrets.js';
import { queueDelivery, WEBHOOK_JOB } from '../../store/acts/announce.js';
import { deliveries, type KnownWebhook, webhooks } from '../../store/questions/webhooks.js';
import { JobRow } from '../../store/rows/jobs.entity.js';
import { WebhookDeliveryRow, WebhookRow, WebhookSecretRow } from '../../store/rows/webhooks.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import { type Acting, onceOf } from '../http/access.js';
import { newSecret } from '../http/secrets.js';

/** More would make each act that is told of slow for everybody. */
const MOST = 20;

@Injectable()
export class WebhooksService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  async list({ laboratoryId }: Acting): Promise<WebhookDto[]> {
    const rows = await this.store.read(laboratoryId, webhooks);
    return rows.map((row) => this.view(row));
  }

  /** Its answer holds the secret and is kept nowhere, so a repeat makes another endpoint. */
  async add(acting: Acting, { name, url, topics }: NewWebhookDto): Promise<WebhookWithSecretDto> {
    const secret = newSecret();
    const id = await this.store.change(acting, 'webhook.added', async (unit) => {
      const address = checkAddress(url);
      await this.refuseMany(unit);
      const own = newId();
      await unit.add(WebhookRow, { id: own, name, url: address, topics, active: true, createdAt: unit.at });
      await addSecret(unit, own, secret);
      unit.about('webhook', own, { name, url: address, topics });
      return own;
    });
    return { ...(await this.one(acting, id)), secret };
  }

  async change(acting: Acting, id: string, wanted: ChangedWebhookDto, key?: string): Promise<WebhookDto> {
    await this.store.change(
      acting,
      'webhook.changed',
      async (unit) => {
        await need(unit, id);
        const { url, ...rest } = wanted;
        const all = { ...rest, url: url === undefined ? undefined : checkAddress(url) };
        const values = Object.fromEntries(Object.entries(all).filter(([, value]) => value !== undefined));
        if (Object.keys(values).length === 0) {
          throw new Refusal('invalid', 'nothing-to-change', 'Name what is to change: name, url, topics or active.');
        }
        await unit.change(WebhookRow, { id }, values);
        unit.about('webhook', id, values);
        return null;
      },
      onceOf(key, { id, ...wanted }),
    );
    return this.one(acting, id);
  }

  /** Makes the next secret; the one before signs beside it for some hours. Its answer is kept nowhere. */
  async rotate(acting: Acting, id: string, overlapHours: number): Promise<WebhookWithSecretDto> {
    const secret = newSecret();
    await this.store.change(acting, 'webhook.secret-changed', async (unit) => {
      await need(unit, id);
      const until = overlapEnd(unit.at, overlapHours);
      for (const old of await unit.all(WebhookSecretRow, { webhookId: id })) {
        if (old.until === null) await unit.change(WebhookSecretRow, { id: old.id }, { until });
        // What signs no longer is not kept.
        else if (old.until <= unit.at) await unit.remove(WebhookSecretRow, { id: old.id });
      }
      const secretId = await addSecret(unit, id, secret);
      unit.about('webhook', id, { secret: secretId, oldUntil: until });
      return null;
    });
    return { ...(await this.one(acting, id)), secret };
  }

  /** Sends a message that only says that messages arrive. */
  async trial(acting: Acting, id: string, key?: string): Promise<DeliveryListDto> {
    await this.store.change(
      acting,
      'webhook.tried',
      async (unit) => {
        const { active } = await need(unit, id);
        if (!active)
          throw new Refusal('conflict', 'switched-off', 'This endpoint is switched off; switch it on first.');
        const delivery = await queueDelivery(unit, id, 'trial', null, null);
        unit.about('webhook', id, { delivery });
        return null;
      },
      onceOf(key, { id }),
    );
    return this.deliveries(acting, { webhook: id, take: 20 });
  }

  async deliveries({ laboratoryId }: Acting, query: DeliveryQueryDto): Promise<DeliveryListDto> {
    const { webhook: webhookId, take, after } = query;
    const rows = await this.store.read(laboratoryId, (view) => deliveries(view, { webhookId, take, after }));
    return {
      items: rows.map(({ id, webhookId: to, at, topic, body, state, attempts, deliveredAt, error }) => ({
        ...{ id, webhookId: to, at, topic, body },
        ...{ state, attempts, deliveredAt, error },
      })),
      next: rows.length < take ? null : (rows.at(-1)?.id ?? null),
    };
  }

  /** Tries a message again that was given up. */
  async again(acting: Acting, id: string, key?: string): Promise<DeliveryListDto> {
    const to = await this.store.change(
      acting,
      'webhook.sent-again',
      async (unit) => {
        const { deliveredAt, webhookId } = await unit.need(WebhookDeliveryRow, { id }, `message ${id}`);
        if (deliveredAt !== null) {
          throw new Refusal('conflict', 'delivered-already', `This message was taken at ${deliveredAt}.`);
        }
        for (const state of ['waiting', 'handed'] as const) {
          if (await unit.one(JobRow, { name: WEBHOOK_JOB, target: id, state })) {
            throw new Refusal('conflict', 'still-tried', 'This message is still tried; wait until it is given up.');
          }
        }
        await unit.enqueue(WEBHOOK_JOB, id);
        unit.about('webhook', webhookId, { delivery: id });
        return webhookId;
      },
      onceOf(key, { id }),
    );
    return this.deliveries(acting, { webhook: to, take: 20 });
  }

  private async one(acting: Acting, id: string): Promise<WebhookDto> {
    const found = (await this.list(acting)).find((each) => each.id === id);
    if (!found) throw new Refusal('not-found', 'not-found', `There is no endpoint ${id}.`);
    return found;
  }

  private view({ id, name, url, topics, active, createdAt, secrets }: KnownWebhook): WebhookDto {
    return { id, name, url, topics, active, createdAt, secrets: signing(secrets, this.clock.now()) };
  }

  private async refuseMany(unit: Unit): Promise<void> {
    if ((await unit.count(WebhookRow)) < MOST) return;
    const message = `There are ${MOST} endpoints already; change one of those, or let one program pass messages on.`;
    throw new Refusal('conflict', 'too-many-endpoints', message);
  }
}

function need(unit: Unit, id: string): Promise<WebhookRow> {
  return unit.need(WebhookRow, { id }, `endpoint ${id}`);
}

async function addSecret(unit: Unit, webhookId: string, secret: string): Promise<string> {
  const id = newId();
  await unit.add(WebhookSecretRow, { id, webhookId, secret, createdAt: unit.at, until: null });
  return id;
}
