import type { Finding } from '../gate/finding.js';
import { RULES, type RuleCode } from '../gate/rules.js';
import { Refusal } from '../refusal.js';
import { holding } from '../release/release.js';

/** What the gate, asked again, says of a release beside what it said then. */
export const LOOK_OUTCOMES = ['holds as it did', 'worsened'] as const;
export type LookOutcome = (typeof LOOK_OUTCOMES)[number];

/** Rules whose findings open a lookback that people answer for each specimen. */
const ASKED_BY_LOOKBACK: readonly string[] = ['lot-recalled', 'control-failure-open', 'control-failure-decided'];

/**
 * The unsettled stops and open cautions among `now` that were not `known`: neither found when it was released (by an
 * exception, say) nor gone over since. The same finding with other words rests on other facts and counts as new. A stop
 * 'step-long:dye' now, none known: it is answered.
 */
export function worseThan(now: readonly Finding[], known: readonly Finding[]): Finding[] {
  const before = holding(known);
  return holding(now).filter(({ id, what, weight }) => {
    const same = before.find((each) => each.id === id && each.what === what);
    return !same || (same.weight === 'caution' && weight === 'stop');
  });
}

/** Whether some of these findings may be the matter of a lookback, so that what held before the act counts as known. */
export function askedByLookback(worse: readonly Finding[]): boolean {
  return worse.some(({ rule }) => ASKED_BY_LOOKBACK.includes(rule));
}

/** Those of `worse` that no lookback asks of already; `before` is what the gate found before the act. */
export function withoutLookbacks(worse: readonly Finding[], before: readonly Finding[]): Finding[] {
  return worse.filter(
    ({ id, rule, what }) =>
      !ASKED_BY_LOOKBACK.includes(rule) || !before.some((each) => each.id === id && each.what === what),
  );
}

/** A question on a release: the record number that opened it, and the program's answer once it is given. */
export interface LookedAt {
  seq: number;
  answer: { seq: number; outcome: LookOutcome } | null;
}

/**
 * What second looks make of a release: 'in question' from an answer 'worsened' until a person upholds it by signature,
 * 'looked at again' while the gate has not answered; null when nothing is open. `upheldSeq` is the record number of the
 * last signature that upheld it, 0 when there was none. An answer that comes late leaves it open longer, never wrong.
 */
export function lookStanding(
  questions: readonly LookedAt[],
  upheldSeq: number,
): 'in question' | 'looked at again' | null {
  const open = questions.filter(({ seq, answer }) => (answer?.seq ?? seq) > upheldSeq);
  if (open.some(({ answer }) => answer?.outcome === 'worsened')) return 'in question';
  return open.some(({ answer }) => answer === null) ? 'looked at again' : null;
}

/**
 * Whether two people have to sign that a release stands over these findings: as for an exception, whenever one is a stop.
 * Refuses where one can never be gone over; then it is withdrawn, or mended and amended.
 */
export function secondNeeded(worse: readonly Finding[]): boolean {
  const never = worse.filter(({ rule }) => !(rule in RULES) || !RULES[rule as RuleCode].excusable);
  if (never.length > 0) {
    throw new Refusal(
      'held',
      'no-exception',
      `It cannot stand over this; withdraw it, or mend it and amend: ${never.map(({ what }) => what).join(' ')}`,
      never.map(({ id, mend }) => ({ at: id, message: mend })),
      { findings: never },
    );
  }
  return worse.some(({ weight }) => weight === 'stop');
}

/** What stands beside a result that was upheld over findings, wherever it is shown. */
export function upheldMark(findings: readonly Finding[], reason: string): string {
  if (findings.length === 0) return `Looked at again and upheld. Reason: ${reason}`;
  return `Looked at again and upheld over: ${findings.map(({ what }) => what).join(' ')} Reason: ${reason}`;
}
