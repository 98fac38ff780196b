import { Refusal } from '../refusal.js';
import { type Instant, instantOf, epochMs } from '../time/instant.js';
import { limitsOf, usableUntil, withComponents } from './expiry.js';
import { CONTAINER_STATES, type ContainerState, type Limit } from './lot.js';

/** Beyond it a date or a life is more likely mistyped than meant: common practice, no source. */
const PLAUSIBLE_YEARS = 20;

/**
 * The limits of a supplied lot by its printed expiry, or by the one set here for a product without one; refuses a date
 * that cannot be read or lies more than 20 years off. `suppliedLimits('2027-03', '2026-11-25T09:00:00.000Z', 'UTC')` is
 * `[{by: 'expiry', until: '2027-04-01T00:00:00.000Z'}]`.
 */
export function suppliedLimits(expiry: string, receivedAt: Instant, zone: string): Limit[] {
  return about('expiry', () => {
    const limits = limitsOf({ expiry }, zone);
    plausible(limits, receivedAt, `an expiry of ${expiry}`);
    return limits;
  });
}

/**
 * The limits of what is prepared here: its own life and all those of its components, which it never outlives
 * (42 CFR 493.1252(d)); refuses a life that cannot be reckoned and one that is over before it begins.
 */
export function preparedLimits(preparedAt: Instant, life: string, components: Limit[][], zone: string): Limit[] {
  return about('life', () => {
    const own = limitsOf({ prepared: { at: preparedAt, life, components: [] } }, zone);
    plausible(own, preparedAt, `a life of ${life}`);
    const limits = withComponents(own, components);
    const [first] = limits;
    if (first && first.until <= preparedAt) {
      throw new Refusal(
        'conflict',
        'component-expired',
        `This preparation would be over before it is made: ${first.by} ended at ${first.until}; take a component still within its life.`,
      );
    }
    return limits;
  });
}

/**
 * The end of the life of a container opened at an instant; refuses a life that cannot be reckoned or ends more than 20
 * years later. `openedUntil('2026-10-20T08:15:00.000Z', 'P30D', 'Europe/Lisbon')` is '2026-11-20T00:00:00.000Z'.
 */
export function openedUntil(at: Instant, life: string, zone: string): Instant {
  return about('openedLife', () => {
    const limits = limitsOf({ opened: { at, life } }, zone);
    plausible(limits, at, `an opened life of ${life}`);
    return usableUntil(limits) as Instant;
  });
}

export const CONTAINER_CONDITIONS = ['unopened', ...CONTAINER_STATES] as const;
export type ContainerCondition = (typeof CONTAINER_CONDITIONS)[number];

/** What a container can become from what it is; the rest is refused. */
const AFTER: Record<ContainerCondition, readonly ContainerState[]> = {
  unopened: ['opened', 'discarded'],
  opened: ['emptied', 'discarded'],
  emptied: ['discarded'],
  discarded: [],
};

/**
 * Refuses a change of a container's state that cannot be: opened twice, anything after it was discarded, a time in the
 * future, before its receipt or before its last change.
 */
export function checkStateChange(
  change: { state: ContainerState; at: Instant },
  known: { label: string; receivedAt: Instant; states: readonly { at: Instant; state: ContainerState }[] },
  now: Instant,
): void {
  const { state, at } = change;
  const last = known.states.at(-1);
  const condition = last?.state ?? 'unopened';
  const refuse = (kind: 'invalid' | 'conflict', code: string, message: string): never => {
    throw new Refusal(kind, code, message, kind === 'invalid' ? [{ at: 'at', message }] : []);
  };
  if (!AFTER[condition].includes(state)) {
    const since = last ? ` since ${last.at}` : '';
    const right =
      AFTER[condition].length > 0 ? `it can only be ${AFTER[condition].join(' or ')}` : 'scan the one in your hand';
    refuse(
      'conflict',
      `container-${condition}`,
      `${known.label} is ${condition}${since} and cannot be ${state}; ${right}.`,
    );
  }
  if (at > now) refuse('invalid', 'future', `${at} lies in the future; it is ${now} now.`);
  if (at < known.receivedAt) {
    refuse('invalid', 'before-receipt', `${at} lies before its receipt at ${known.receivedAt}; give a later time.`);
  }
  if (last && at < last.at) {
    refuse('invalid', 'before-last-change', `${at} lies before it was ${last.state} at ${last.at}; give a later time.`);
  }
}

function plausible(limits: Limit[], from: Instant, what: string): void {
  const end = usableUntil(limits);
  const farthest = new Date(epochMs(from));
  farthest.setUTCFullYear(farthest.getUTCFullYear() + PLAUSIBLE_YEARS);
  if (end !== null && end > instantOf(farthest.getTime())) {
    throw new Refusal(
      'invalid',
      'implausible',
      `${what} lies more than ${PLAUSIBLE_YEARS} years ahead and is more likely mistyped; compare it with the print.`,
    );
  }
}

/** Says of a refusal which field it is about. */
function about<T>(field: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (!(error instanceof Refusal) || error.kind !== 'invalid') throw error;
    throw new Refusal(error.kind, error.code, error.message, [{ at: field, message: error.message }]);
  }
}
