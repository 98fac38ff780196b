import type { Finding } from '../gate/finding.js';
import type { Judgement } from '../gate/judge.js';
import { RULES, type Rule, type RuleCode } from '../gate/rules.js';
import type { ReleaseException } from '../release/release.js';
import type { Signature } from '../record/signed.js';
import { eventsOf, type RunState } from '../run/state.js';
import type { ReportedFinding } from './run-report.js';

const WEIGHT_ORDER = ['stop', 'caution', 'note'] as const;

/** What a rule of the gate is called; a rule that is no longer there goes by its code. */
export function ruleTitle(code: string): string {
  return code in RULES ? (RULES[code as RuleCode] as Rule).title : code;
}

/** Every finding of a judgement once, whichever release points it speaks against; open ones first, weightiest first. */
export function findingsOnce({ subjects }: Judgement): Finding[] {
  const found = new Map<string, Finding>();
  for (const { findings } of subjects.flatMap(({ points }) => points)) {
    for (const finding of findings) {
      const key = `${finding.id} ${finding.subjectId ?? ''}`;
      if (!found.has(key)) found.set(key, finding);
    }
  }
  return [...found.values()].sort(
    (a, b) => Number(a.settled) - Number(b.settled) || WEIGHT_ORDER.indexOf(a.weight) - WEIGHT_ORDER.indexOf(b.weight),
  );
}

/** The findings of a run with how each was settled: acknowledged, decided by a person, or gone over by an exception. */
export function reportedFindings(
  judgement: Judgement,
  state: RunState,
  releases: readonly { signature: Signature; exception: ReleaseException | null }[],
  { nameOf, labelOf }: { nameOf: (personId: string) => string; labelOf: (subjectId: string) => string },
): ReportedFinding[] {
  return findingsOnce(judgement).map(
    ({ id, rule, weight, subjectId, what, at, measured, against, settled }): ReportedFinding => ({
      id,
      rule,
      weight,
      what,
      at,
      measured,
      against,
      settled,
      title: ruleTitle(rule),
      on: subjectId === null ? null : labelOf(subjectId),
      how: [
        ...eventsOf(state.events, 'acknowledged')
          .filter(({ data }) => data.finding === id)
          .map(({ personId, stamp, data }) => ({
            way: 'acknowledged' as const,
            by: nameOf(personId),
            at: stamp.at,
            reason: data.reason ?? null,
          })),
        ...eventsOf(state.events, 'resolved')
          .filter(({ data }) => data.finding === id)
          .map(({ personId, stamp, data }) => ({
            way: data.conforms ? ('found to conform' as const) : ('found not to conform' as const),
            by: nameOf(personId),
            at: stamp.at,
            reason: data.reason,
          })),
        ...releases.flatMap(({ signature, exception }) =>
          exception?.findings.includes(id)
            ? [
                {
                  way: 'released over' as const,
                  by: `${signature.name} and ${exception.second.name}`,
                  at: signature.at,
                  reason: exception.reason,
                },
              ]
            : [],
        ),
      ],
    }),
  );
}
