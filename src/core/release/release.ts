import type { Finding } from '../gate/finding.js';
import type { Signature } from '../record/signed.js';
import { Refusal } from '../refusal.js';
import type { Instant } from '../time/instant.js';

/** What leaves: material for somebody to read, whether it suffices, or a first impression said to be one. */
export const RELEASE_KINDS = ['stained material', 'adequacy', 'preliminary impression'] as const;
export type ReleaseKind = (typeof RELEASE_KINDS)[number];

/** A release over findings: what it goes over, why, and who stands beside the signer. */
export interface ReleaseException {
  /** Ids of the findings. */
  findings: string[];
  reason: string;
  second: Signature;
}

/** What speaks against the result still: stops that are unsettled and cautions that nobody acknowledged. */
export function holding(findings: readonly Finding[]): Finding[] {
  return findings.filter(({ weight, settled }) => weight !== 'note' && !settled);
}

/**
 * The findings over which an exception can let a result out; refuses where one of them can never be gone over (a release
 * point not reached, a specimen that nobody can vouch for), and where a caution only wants to be acknowledged.
 */
export function excusable(findings: readonly Finding[]): Finding[] {
  const open = holding(findings);
  const never = open.filter(({ excusable: may }) => !may);
  if (never.length > 0) {
    throw new Refusal(
      'held',
      'no-exception',
      `No exception can let this out: ${never.map(({ what }) => what).join(' ')}`,
      never.map(({ id, mend }) => ({ at: id, message: mend })),
      { findings },
    );
  }
  const cautions = open.filter(({ weight }) => weight === 'caution');
  if (cautions.length > 0) {
    throw new Refusal(
      'held',
      'caution-open',
      `Acknowledge these first; a caution needs no exception: ${cautions.map(({ what }) => what).join(' ')}`,
      cautions.map(({ id, mend }) => ({ at: id, message: mend })),
      { findings },
    );
  }
  return open;
}

/** Rules whose findings follow a result everywhere. */
const MARKING: readonly string[] = ['identity-attested', 'device-lost', 'under-day-pass'];

/**
 * What stands beside a result wherever it is shown: that it went out over findings, that its specimen's identity rests on
 * an attestation, that it amends an earlier one. Empty for a plain release.
 */
export function marksOf(
  findings: readonly Finding[],
  { exception, amends }: { exception: Pick<ReleaseException, 'findings' | 'reason'> | null; amends: string | null },
): string[] {
  const over = findings.filter(({ id }) => exception?.findings.includes(id));
  return [
    ...(amends === null ? [] : ['Amended: it replaces an earlier release, which stands beside it.']),
    ...(exception === null
      ? []
      : [`Released by exception over: ${over.map(({ what }) => what).join(' ')} Reason: ${exception.reason}`]),
    ...findings.flatMap(({ rule, what }) => (MARKING.includes(rule) ? [what] : [])),
  ];
}

/**
 * Where a release stands: as it was signed; looked at again, while a second look has not been answered and nobody should
 * rely on it; in question, by a lookback or because the gate says worse of it now; replaced by an amended one; taken back.
 */
export const RELEASE_STANDINGS = ['stands', 'looked at again', 'in question', 'amended', 'withdrawn'] as const;
export type ReleaseStanding = (typeof RELEASE_STANDINGS)[number];

/** Where a release stands by what came after it; what was withdrawn stays withdrawn. */
export function releaseStanding(after: {
  withdrawn: boolean;
  amended: boolean;
  questions: readonly { outcome: string | null }[];
  /** What second looks make of it; null when none is open. */
  looks: 'in question' | 'looked at again' | null;
}): ReleaseStanding {
  if (after.withdrawn) return 'withdrawn';
  if (after.amended) return 'amended';
  if (after.questions.some(({ outcome }) => outcome === null)) return 'in question';
  return after.looks ?? 'stands';
}

/** A person's word that a result waits, whatever the gate says, or that it need not wait any longer. */
export interface ReleaseHold {
  at: Instant;
  holds: boolean;
  reason: string;
}

/** Refuses a release that a person holds back; `holds` in the order of the record. */
export function refuseHeld(holds: readonly ReleaseHold[]): void {
  const last = holds.at(-1);
  if (!last?.holds) return;
  throw new Refusal(
    'held',
    'held-by-person',
    `It is held back since ${last.at}: ${last.reason}. Lift the hold first, with a reason.`,
  );
}
