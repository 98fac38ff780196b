import { counted } from '../counted.js';
import { Refusal } from '../refusal.js';
import type { Signature } from '../record/signature.js';
import type { Instant } from '../time/instant.js';
import { endOfDay, instantOfLocal, localDay } from '../time/zone.js';
import { openProposals } from './figures.js';
import type { Protocol } from './protocol.js';

export const REVISION_STATES = ['draft', 'reviewed', 'approved', 'superseded', 'retired'] as const;
export type RevisionState = (typeof REVISION_STATES)[number];

export const REVISION_ACTS = ['drafted', 'reviewed', 'approved', 'superseded', 'retired'] as const;
export type RevisionActKind = (typeof REVISION_ACTS)[number];

export interface Verification {
  /** Where the record of it is kept, such as 'VAL-2026-014'. */
  reference: string;
  /** What it showed, in a few sentences. */
  summary: string;
}

export interface RevisionActData {
  note?: string;
  /** Approval only: the instant from which runs may use it. */
  effectiveFrom?: Instant;
  /** Approval only: what shows that the method works here (42 CFR 493.1253). */
  verification?: Verification;
  /** Approval only: people must be assessed anew before they run it. */
  newAssessment?: boolean;
  /** Supersession only: id of the revision that takes its place. */
  by?: string;
  signature?: Signature;
}

/** Something that was decided about a revision. */
export interface RevisionAct {
  kind: RevisionActKind;
  at: Instant;
  /** Record number of the act. */
  seq: number;
  data: RevisionActData;
}

/** A revision with what was decided about it, in the order of the record. */
export interface RevisionHistory {
  id: string;
  acts: RevisionAct[];
}

/**
 * Where a revision stands at an instant, among all revisions of its protocol. Of several approved ones the one that was
 * approved last counts, from its effective date on; one that it superseded does not come back, even when its successor is
 * retired, unless that was before it ever took effect (42 CFR 493.1251(d), (e)). A revision approved for next Monday is
 * 'approved' today, and the one before it is 'superseded' from Monday.
 */
export function revisionState(revision: RevisionHistory, all: readonly RevisionHistory[], at: Instant): RevisionState {
  const decided = (kind: RevisionActKind) => revision.acts.some((act) => act.kind === kind && act.at <= at);
  if (decided('retired')) return 'retired';
  if (decided('approved')) return all.some((other) => supersedes(other, revision, at)) ? 'superseded' : 'approved';
  return decided('reviewed') ? 'reviewed' : 'draft';
}

/** Whether runs may be started on a revision at an instant: approved, effective, neither superseded nor retired. */
export function inForce(revision: RevisionHistory, all: readonly RevisionHistory[], at: Instant): boolean {
  return effectiveFrom(revision) <= at && revisionState(revision, all, at) === 'approved';
}

/** The instant from which a revision was approved to be used; one that sorts after every other when it was not. */
export function effectiveFrom(revision: RevisionHistory): Instant {
  return approval(revision)?.data.effectiveFrom ?? NEVER;
}

const NEVER: Instant = '9999-12-31T23:59:59.999Z';

function approval(revision: RevisionHistory): RevisionAct | undefined {
  return revision.acts.find(({ kind }) => kind === 'approved');
}

function supersedes(later: RevisionHistory, earlier: RevisionHistory, at: Instant): boolean {
  const first = approval(earlier);
  const last = approval(later);
  if (!first || !last || last.seq <= first.seq) return false;
  const from = effectiveFrom(later);
  const neverInForce = later.acts.some((act) => act.kind === 'retired' && act.at < from);
  return from <= at && !neverInForce;
}

/** States from which each decision can be taken, and what to do in any other. */
const DECISIONS = {
  reviewed: { from: ['draft', 'reviewed'], instead: 'review a draft' },
  approved: { from: ['draft', 'reviewed'], instead: 'approve a draft; a changed figure makes a new one' },
  retired: { from: ['draft', 'reviewed', 'approved', 'superseded'], instead: 'nothing is left to do' },
} as const satisfies Partial<Record<RevisionActKind, { from: readonly RevisionState[]; instead: string }>>;

/** Refuses a decision on a revision that its state does not allow, saying what would be right. */
export function checkDecision(kind: keyof typeof DECISIONS, state: RevisionState): void {
  const { from, instead } = DECISIONS[kind];
  if ((from as readonly RevisionState[]).includes(state)) return;
  throw new Refusal('conflict', `revision-${state}`, `This revision is ${state} and cannot be ${kind}; ${instead}.`);
}

/**
 * Refuses an approval that its state, an open proposal or a missing verification record speaks against
 * (42 CFR 493.1251(d), 493.1253(b)). The open proposals go with the refusal.
 */
export function checkApproval(state: RevisionState, content: Protocol, { reference, summary }: Verification): void {
  checkDecision('approved', state);
  const proposals = openProposals(content);
  if (proposals.length > 0) {
    throw new Refusal(
      'conflict',
      'open-proposals',
      `${counted(proposals.length, 'figure is', 'figures are')} still a proposal; set or confirm each before approval.`,
      proposals.map(({ path, text }) => ({ at: path.join('.'), message: `${text} is a proposal that nobody has set` })),
      { openProposals: proposals },
    );
  }
  const empty = Object.entries({ reference, summary }).filter(([, text]) => text.trim() === '');
  if (empty.length > 0) {
    throw new Refusal(
      'invalid',
      'no-verification',
      'Approval needs a verification record: where it is kept and what it showed.',
      empty.map(([name]) => ({ at: `verification.${name}`, message: `${name} is empty` })),
    );
  }
}

/**
 * The instant from which a revision approved at `now` with effect from a local day may be used: that day's first instant,
 * or now when it is today; refuses a day that is over.
 * `effectiveInstant('2026-12-01', '2026-11-25T09:00:00.000Z', 'Europe/Lisbon')` is '2026-12-01T00:00:00.000Z'.
 */
export function effectiveInstant(day: string, now: Instant, zone: string): Instant {
  // Refuses text that is no day.
  if (endOfDay(day, zone) <= now) {
    throw new Refusal(
      'invalid',
      'past-date',
      `A revision cannot take effect on ${day}, which is over; give ${localDay(now, zone)} or a later day.`,
      [{ at: 'effectiveFrom', message: `${day} is over` }],
    );
  }
  const start = instantOfLocal(`${day}T00:00`, zone);
  return start > now ? start : now;
}

/** What a signature on a decision covers: the decision and the content it is about. */
export function decisionRecord(
  kind: keyof typeof DECISIONS,
  revision: { id: string; contentHash: string },
  data: RevisionActData,
): Record<string, unknown> {
  const { signature: _apart, ...decided } = data;
  return { act: kind, revision: revision.id, contentHash: revision.contentHash, ...decided };
}
