import type { Stamp } from '../time/duration.js';
import { epochMs, type Instant } from '../time/instant.js';
import { type BathFacts, filterLasts, slidesUntil } from './bath.js';
import type { ContainerHold, ContainerState, IntendedUse, Limit, LotStanding } from './lot.js';

/** The use of a container by a step, with what is known about both. */
export interface ContainerUse {
  containerId: string;
  /** Code of the reagent that it holds. */
  reagent: string;
  /** Codes that fit: the step's reagent and what is accepted instead. */
  wanted: string[];
  /** Decisions on its lot, in any order; without one the lot is quarantined. */
  lotStanding: { at: Instant; standing: LotStanding }[];
  /** Changes of its state, in any order; without one it is unopened. */
  condition: { at: Instant; state: ContainerState }[];
  limits: Limit[];
  /** What put it on hold, with the decisions known; absent when nothing ever did. */
  holds?: ContainerHold[];
  /** What its maker made it for; absent when the print says nothing. */
  intendedUse?: IntendedUse;
  /** When a verification record was found to let it be used for patients. */
  verifiedAt?: Instant[];
  /** How a bath is used up; absent for what is no bath. */
  bath?: BathFacts;
  /** False for a run without patients, in which a lot may be used to accept it. */
  forPatients: boolean;
}

export type UnusableCode =
  | 'wrong-reagent'
  | 'lot-quarantined'
  | 'lot-rejected'
  | 'lot-recalled'
  | 'not-opened'
  | 'emptied'
  | 'discarded'
  | 'past-expiry'
  | 'past-opened-life'
  | 'past-preparation-life'
  | 'limit-undecided'
  | 'on-hold'
  | 'bath-load'
  | 'filter-due'
  | 'research-only';

export interface UnusableReason {
  code: UnusableCode;
  /** The instant that speaks against its use: of the decision, the change of state or the limit. */
  against?: Instant;
  message: string;
}

/**
 * Every reason why a container may not be used at an instant, by what was known then; empty when it may. A limit counts
 * as kept or passed only if the stamp's whole interval lies on one side of it, with the limit's own instant past
 * (42 CFR 493.1252(d); JCGM 106:2012). With `limits: [{by: 'opened', until: '2026-11-25T16:00:00.000Z'}]`, used at that
 * very instant by a clock known to be right, it gives one reason, 'past-opened-life'.
 */
export function unusableReasons(facts: ContainerUse, at: Stamp): UnusableReason[] {
  return [
    ...reagentReasons(facts),
    ...standingReasons(facts, at.at),
    ...conditionReasons(facts, at.at),
    ...facts.limits.flatMap((limit) => limitReasons(facts.containerId, limit, at)),
    ...holdReasons(facts, at.at),
    ...intendedUseReasons(facts, at.at),
    ...bathReasons(facts, at.at),
  ];
}

function reagentReasons({ containerId, reagent, wanted }: ContainerUse): UnusableReason[] {
  if (wanted.includes(reagent)) return [];
  const message = `container ${containerId} holds ${reagent}; the step wants ${wanted.join(' or ')}`;
  return [{ code: 'wrong-reagent', message }];
}

const STANDING_MENDS = {
  quarantined: 'accept the lot or take a container of an accepted one',
  rejected: 'take a container of an accepted lot',
  recalled: 'set it aside and take a container of an accepted lot',
} as const;

function standingReasons({ containerId, lotStanding, forPatients }: ContainerUse, at: Instant): UnusableReason[] {
  const decision = latest(lotStanding, at);
  const standing = decision?.standing ?? 'quarantined';
  if (standing === 'accepted' || (standing === 'quarantined' && !forPatients)) return [];
  const since = decision ? `since ${decision.at}` : 'for want of any decision';
  const message = `the lot of container ${containerId} was ${standing} ${since}; ${STANDING_MENDS[standing]}`;
  return [{ code: `lot-${standing}`, ...(decision && { against: decision.at }), message }];
}

function conditionReasons({ containerId, condition }: ContainerUse, at: Instant): UnusableReason[] {
  const change = latest(condition, at);
  if (!change) {
    const message = `container ${containerId} was not recorded as opened; record when it was opened`;
    return [{ code: 'not-opened', message }];
  }
  if (change.state === 'opened') return [];
  const message = `container ${containerId} was ${change.state} at ${change.at}; scan the container that was really used`;
  return [{ code: change.state, against: change.at, message }];
}

function limitReasons(containerId: string, { by, until }: Limit, { at, uncertaintyMs }: Stamp): UnusableReason[] {
  const half = uncertaintyMs ?? Number.POSITIVE_INFINITY;
  const limit = epochMs(until);
  if (epochMs(at) + half < limit) return [];
  const [code, name] = limitNames(by);
  if (epochMs(at) - half >= limit) {
    const message = `container ${containerId} was past its ${name}, which ended at ${until}; take one still within its life`;
    return [{ code, against: until, message }];
  }
  const known = uncertaintyMs === null ? 'at an unknown time' : `at ${at} give or take ${uncertaintyMs} ms`;
  const message = `container ${containerId} was used ${known}, and its ${name} ended at ${until}; state whether that was before or after`;
  return [{ code: 'limit-undecided', against: until, message }];
}

/**
 * A hold speaks against every use from its beginning on, until a person has found that what is in it is fit after all,
 * which then holds for the uses before that decision as well.
 */
function holdReasons({ containerId, holds = [] }: ContainerUse, at: Instant): UnusableReason[] {
  return holds
    .filter(({ from, decided }) => from <= at && decided?.usable !== true)
    .map(({ kind, from, reason, decided }) => {
      const right = decided
        ? `it was decided at ${decided.at} that it must not be used; take another container`
        : 'let a manager or the director decide with a reason, or take another container';
      const message = `container ${containerId} is on hold since ${from} (${kind}: ${reason}); ${right}`;
      return { code: 'on-hold', against: from, message };
    });
}

function intendedUseReasons(facts: ContainerUse, at: Instant): UnusableReason[] {
  const { containerId, intendedUse, verifiedAt = [], forPatients } = facts;
  if (intendedUse !== 'research only' || !forPatients || verifiedAt.some((verified) => verified <= at)) return [];
  const message = `container ${containerId} is of a product for research only; accept its lot with the record of your own verification, or take one made for diagnostic use`;
  return [{ code: 'research-only', message }];
}

function limitNames(by: Limit['by']): [UnusableCode, string] {
  if (by === 'expiry') return ['past-expiry', 'expiry'];
  if (by === 'opened') return ['past-opened-life', 'opened life'];
  // A preparation's life is cut short by its components.
  return ['past-preparation-life', by === 'prepared' ? 'life as a preparation' : `life as a preparation (${by})`];
}

/** A bath through which more slides went than it may stain, this use included, and one that was to be filtered first. */
function bathReasons({ containerId, bath }: ContainerUse, at: Instant): UnusableReason[] {
  if (!bath) return [];
  const reasons: UnusableReason[] = [];
  const passed = slidesUntil(bath, at);
  if (bath.maxSlides !== null && passed > bath.maxSlides) {
    const message = `${passed} slides had gone through bath ${containerId}, which may stain ${bath.maxSlides}; change it`;
    reasons.push({ code: 'bath-load', message });
  }
  const until = filterLasts(bath, at);
  if (until !== null && at >= until) {
    const message = `bath ${containerId} was to be filtered by ${until}; filter it and record that`;
    reasons.push({ code: 'filter-due', against: until, message });
  }
  return reasons;
}

/** The last of several changes not after an instant; of two at one instant the one that stands later in the list. */
function latest<Change extends { at: Instant }>(changes: Change[], at: Instant): Change | undefined {
  return changes
    .filter((change) => change.at <= at)
    .reduce<Change | undefined>((last, change) => (last && last.at > change.at ? last : change), undefined);
}
