import { randomUUID } from 'node:crypto';
import type { IncomingMessage } from 'node:http';

/** What a proxy or a program may send: nothing that could break a log line. */
const ACCEPTED = /^[A-Za-z0-9._-]{1,64}$/;

/** The id by which one request is found in every log: the caller's own when it has a usable one. */
export function requestIdOf(request: Pick<IncomingMessage, 'headers'>): string {
  const given = request.headers['x-request-id'];
  return typeof given === 'string' && ACCEPTED.test(given) ? given : randomUUID();
}
