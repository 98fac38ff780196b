import type { Instant } from '../time/instant.js';

/** Where a lot stands; one without any decision is quarantined. */
export const LOT_STANDINGS = ['quarantined', 'accepted', 'rejected', 'recalled'] as const;
export type LotStanding = (typeof LOT_STANDINGS)[number];

export const CONTAINER_STATES = ['opened', 'emptied', 'discarded'] as const;
export type ContainerState = (typeof CONTAINER_STATES)[number];

/** What sets a limit; that of a component names which, counted from 1, as in 'component 2: expiry'. */
export type LimitCause = 'expiry' | 'opened' | 'prepared' | `component ${string}`;

/** An instant from which something may no longer be used, and why. */
export interface Limit {
  by: LimitCause;
  until: Instant;
}

/** What a maker made a product for (21 CFR 809.10(c), 809.30, 820): a test as a whole, a part of one, or research alone. */
export const INTENDED_USES = ['in vitro diagnostic', 'analyte specific', 'general purpose', 'research only'] as const;
export type IntendedUse = (typeof INTENDED_USES)[number];

/** What a decision on a lot rests on. */
export const EVIDENCE_KINDS = [
  'certificate',
  'inspection',
  'acceptance control',
  'parallel test',
  'verification',
] as const;

export type EvidenceKind = (typeof EVIDENCE_KINDS)[number];

export interface LotEvidence {
  kind: EvidenceKind;
  /** The file kept with it. */
  fileId?: string;
  /** The run in which the control was stained. */
  runId?: string;
  /** The comparison with the lot before. */
  studyId?: string;
}

/** What can put a container on hold. */
export const HOLD_KINDS = ['storage excursion', 'storage together', 'damage', 'count', 'other'] as const;
export type HoldKind = (typeof HOLD_KINDS)[number];

/** Something that keeps a container from being used. */
export interface ContainerHold {
  kind: HoldKind;
  from: Instant;
  reason: string;
  /** The person's decision; null while there is none. */
  decided: { at: Instant; usable: boolean } | null;
}
