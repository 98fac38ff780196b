import { epochMs, type Instant } from '../time/instant.js';
import { endOfLife, endOfPrinted, knownZone } from '../time/zone.js';
import type { Limit } from './lot.js';

/** A life that began at an instant, as an ISO 8601 duration such as 'P30D' or 'PT8H'. */
export interface Life {
  at: Instant;
  life: string;
}

/** What sets the end of a container's use; each part is absent where it does not apply. */
export interface ContainerLife {
  /** As printed or set here: '2026-11-30', '2026-11' or '2026-11-30T14:30' by the laboratory's wall clock. */
  expiry?: string;
  opened?: Life;
  /** Set for what was made here, with the containers that it was made of. */
  prepared?: Life & { components: ContainerLife[] };
}

/**
 * Every limit of a container in the laboratory's zone, earliest first, the label's own first among equals; use stops at
 * the first instant of a limit (42 CFR 493.1252(d); the end of day and the elapsed hours are common practice).
 * `limitsOf({expiry: '2026-11-30'}, 'Europe/Lisbon')` is `[{by: 'expiry', until: '2026-12-01T00:00:00.000Z'}]`.
 */
export function limitsOf(container: ContainerLife, zone: string): Limit[] {
  knownZone(zone);
  const { expiry, opened, prepared } = container;
  const own: Limit[] = [];
  if (expiry !== undefined) own.push({ by: 'expiry', until: endOfPrinted(expiry, zone) });
  if (opened) own.push({ by: 'opened', until: endOfLife(opened.at, opened.life, zone) });
  if (prepared) own.push({ by: 'prepared', until: endOfLife(prepared.at, prepared.life, zone) });
  return withComponents(own, prepared?.components.map((component) => limitsOf(component, zone)) ?? []);
}

/**
 * The limits of a preparation: its own and, since it never outlives a component, those of everything that went into it,
 * earliest first (42 CFR 493.1252(d)). `withComponents([], [[{by: 'expiry', until: '2026-12-01T00:00:00.000Z'}]])` is
 * `[{by: 'component 1: expiry', until: '2026-12-01T00:00:00.000Z'}]`.
 */
export function withComponents(own: Limit[], components: Limit[][]): Limit[] {
  const inherited = components.flatMap((limits, index) =>
    limits.map(({ by, until }): Limit => ({ by: `component ${index + 1}: ${by}`, until })),
  );
  return [...own, ...inherited].sort((a, b) => epochMs(a.until) - epochMs(b.until));
}

/** The first instant at which a container may no longer be used; null when nothing limits it. */
export function usableUntil(limits: Limit[]): Instant | null {
  return limits.reduce<Instant | null>(
    (earliest, { until }) => (earliest === null || epochMs(until) < epochMs(earliest) ? until : earliest),
    null,
  );
}

/** Whether an instant lies before every limit; the instant of a limit itself does not. */
export function usableAt(limits: Limit[], at: Instant): boolean {
  return limits.every(({ until }) => epochMs(at) < epochMs(until));
}
