import { type ContainerFacts, whyUnusable } from '../lot/facts.js';
import type { UnusableCode, UnusableReason } from '../lot/validity.js';
import type { Reagent } from '../protocol/protocol.js';
import type { Instant } from '../time/instant.js';

/** Reasons after which a container cannot become usable again. */
const FOR_GOOD: readonly UnusableCode[] = [
  'past-expiry',
  'past-opened-life',
  'past-preparation-life',
  'lot-rejected',
  'lot-recalled',
  'on-hold',
];

/** Why a container has to leave the shelf. */
export type LeavingReason = Omit<UnusableReason, 'code'> & { code: UnusableCode | 'silver-stored' };

/**
 * Every reason why a container must leave the shelf at an instant; empty when it may stay. Expired stock that merely stands
 * there is a fault of its own (42 CFR 493.1252(d)); what waits for a decision may stay where it is.
 */
export function leavingReasons(container: ContainerFacts, reagent: Reagent | undefined, at: Instant): LeavingReason[] {
  const holds = (container.holds ?? []).filter(({ decided }) => decided?.usable === false);
  const decided = { ...container, holds };
  const reasons: LeavingReason[] = whyUnusable(decided, container.reagent, { at, uncertaintyMs: 0 }, false).filter(
    ({ code }) => FOR_GOOD.includes(code),
  );
  if (reagent?.special !== 'ammoniacal silver') return reasons;
  const message = `container ${container.label} holds ammoniacal silver, which forms explosive silver compounds on standing; discard it at once by your local rule`;
  return [...reasons, { code: 'silver-stored', message }];
}
