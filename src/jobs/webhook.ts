import { lookup } from 'node:dns';
import { request as requestPlain } from 'node:http';
import { request as requestSecure } from 'node:https';
import type { LookupFunction } from 'node:net';
import { mayReceive } from '../core/webhook/address.js';
import { signatureHeader, signing, timestampOf } from '../core/webhook/secrets.js';
import { WebhookDeliveryRow, WebhookRow, WebhookSecretRow } from '../store/rows/webhooks.entity.js';
import type { Handler, HandlerContext } from './runner.js';

/** Hands a message to its endpoint, which has fifteen seconds to answer. */
export const deliverWebhook: Handler = (deliveryId, context) => deliver(deliveryId, context, 15_000);

/**
 * Hands a message to its endpoint, signed anew at each try, so that its timestamp is never old. Any answer from 200 to 299
 * is taken for received; a repeat carries the same id.
 */
export async function deliver(
  deliveryId: string,
  { store, clock, laboratoryId }: HandlerContext,
  answerMs: number,
): Promise<void> {
  const { delivery, webhook, secrets } = await store.read(laboratoryId, async (view) => {
    const delivery = await view.need(WebhookDeliveryRow, { id: deliveryId }, `message ${deliveryId}`);
    const webhook = await view.need(WebhookRow, { id: delivery.webhookId }, `endpoint ${delivery.webhookId}`);
    return { delivery, webhook, secrets: await view.all(WebhookSecretRow, { webhookId: webhook.id }) };
  });
  if (delivery.deliveredAt !== null) return;
  const change = (values: Partial<WebhookDeliveryRow>): Promise<number> =>
    store.housekeep(laboratoryId, (unit) => unit.change(WebhookDeliveryRow, { id: deliveryId }, values));
  if (!webhook.active) {
    await change({ error: 'This endpoint is switched off; switch it on, and send the message again.' });
    return;
  }
  const attempts = delivery.attempts + 1;
  const timestamp = timestampOf(clock.now());
  const keys = signing(secrets, clock.now()).map(({ secret }) => secret);
  try {
    const headers = {
      'content-type': 'application/json',
      'user-agent': 'Stainwright',
      'stainwright-delivery': delivery.id,
      'stainwright-timestamp': timestamp,
      'stainwright-signature': signatureHeader(keys, timestamp, delivery.body),
    };
    await send(webhook.url, delivery.body, headers, answerMs);
  } catch (error) {
    await change({ attempts, error: error instanceof Error ? error.message : String(error) });
    throw error;
  }
  await change({ attempts, deliveredAt: clock.now(), error: null });
}

/** Settles once the endpoint took the message. Node's own client follows no redirect, and the answer's body is not read. */
async function send(url: string, body: string, headers: Record<string, string>, answerMs: number): Promise<void> {
  const signal = AbortSignal.timeout(answerMs);
  const ask = url.startsWith('https:') ? requestSecure : requestPlain;
  const status = await new Promise<number>((resolve, reject) => {
    const length = Buffer.byteLength(body);
    const sent = ask(url, {
      method: 'POST',
      headers: { ...headers, 'content-length': length },
      lookup: findReceiver,
      agent: false,
      signal,
    });
    sent.on('error', (error) => {
      reject(signal.aborted ? new Error(`It did not answer within ${answerMs / 1000} seconds.`) : error);
    });
    sent.on('response', (answer) => {
      resolve(answer.statusCode ?? 0);
      answer.destroy();
    });
    sent.end(body);
  });
  if (status >= 200 && status < 300) return;
  if (status >= 300 && status < 400) {
    throw new Error(`It answered ${status}, a redirect, which is not followed; give the address itself.`);
  }
  throw new Error(`It answered ${status}; any answer from 200 to 299 says that it was received.`);
}

/** A name may lead to a number today that it did not lead to when it was set. */
const findReceiver: LookupFunction = (name, options, found) => {
  lookup(name, options, (error, address, family) => {
    const all = Array.isArray(address) ? address : [{ address, family: family ?? 0 }];
    const bad = error ? undefined : all.find((each) => !mayReceive(each.address));
    if (bad) found(new Error(`${name} leads to ${bad.address}, where nothing can receive.`), '', 0);
    else found(error, address as string, family);
  });
};
