import { epochMs, type Instant, plusMs } from '../time/instant.js';
import { hmacSha256 } from '../record/hmac.js';

/** A secret of an endpoint and until when it signs; null as long as it is the newest. */
export interface EndpointSecret {
  secret: string;
  until: Instant | null;
}

const NEVER: Instant = '9999-12-31T23:59:59.999Z';

/** Those that sign at an instant, the newest first; the end's own instant is past it. */
export function signing<S extends Pick<EndpointSecret, 'until'>>(secrets: readonly S[], at: Instant): S[] {
  return secrets
    .filter(({ until }) => until === null || at < until)
    .sort((a, b) => ((a.until ?? NEVER) > (b.until ?? NEVER) ? -1 : 1));
}

/** When a secret stops signing that another took the place of at `at`. */
export function overlapEnd(at: Instant, hours: number): Instant {
  return plusMs(at, hours * 3_600_000);
}

/** Seconds since 1970-01-01T00:00Z, whole, as the header carries them. */
export function timestampOf(at: Instant): string {
  return String(Math.floor(epochMs(at) / 1000));
}

/**
 * What the signature header says: for each secret that signs, 'v1=' and the HMAC-SHA256 over the timestamp, a full stop
 * and the body as sent, divided by commas.
 */
export function signatureHeader(secrets: readonly string[], timestamp: string, body: string): string {
  return secrets.map((secret) => `v1=${hmacSha256(secret, `${timestamp}.${body}`)}`).join(',');
}
