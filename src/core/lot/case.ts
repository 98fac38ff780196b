import { Fields } from '../time/fields.js';
import type { Instant } from '../time/instant.js';
import { limitsOf, usableAt, usableUntil, type ContainerLife, type Life } from './expiry.js';
import type { Limit } from './lot.js';

export interface ExpiryResult {
  id: string;
  /** Null when nothing limits the container. */
  usableUntil: Instant | null;
  usable: boolean;
  limits: Limit[];
}

/**
 * Judges one expiry case `{id, zone, at, container}` as given in JSON; refuses one that cannot be computed.
 * `computeExpiry({id: 'E01', zone: 'Europe/Lisbon', at: '2026-11-30T23:59:59.999Z', container: {expiry: '2026-11-30'}})`
 * is `{id: 'E01', usableUntil: '2026-12-01T00:00:00.000Z', usable: true, limits: [{by: 'expiry', until:
 * '2026-12-01T00:00:00.000Z'}]}`.
 */
export function computeExpiry(input: unknown): ExpiryResult {
  const fields = new Fields(input);
  const id = fields.text('id');
  const limits = limitsOf(readContainer(fields.object('container')), fields.text('zone'));
  return { id, usableUntil: usableUntil(limits), usable: usableAt(limits, fields.instant('at')), limits };
}

function readContainer(fields: Fields): ContainerLife {
  fields.onlyKeys('expiry', 'opened', 'prepared');
  return {
    ...(fields.has('expiry') && { expiry: fields.text('expiry') }),
    ...(fields.has('opened') && { opened: readLife(fields.object('opened').onlyKeys('at', 'life')) }),
    ...(fields.has('prepared') && { prepared: readPreparation(fields.object('prepared')) }),
  };
}

function readPreparation(fields: Fields): ContainerLife['prepared'] {
  fields.onlyKeys('at', 'life', 'components');
  return {
    ...readLife(fields),
    components: fields.has('components') ? fields.list('components').map(readContainer) : [],
  };
}

function readLife(fields: Fields): Life {
  return { at: fields.instant('at'), life: fields.text('life') };
}
