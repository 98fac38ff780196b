import type { Step } from '../protocol/protocol.js';
import type { Finding, Weight } from './finding.js';
import { RULES, type Rule, type RuleCode } from './rules.js';

interface Details {
  /** What the finding is about, unique among those of its rule: a step, a container, a control, a subject. */
  about: string;
  what: string;
  at?: string | null;
  measured?: string;
  against?: string;
  subjectId?: string;
  /** The step whose standing decides the weight of a 'by step' rule. */
  step?: Step;
}

/** The finding that a rule makes of these details, unsettled. */
export function finding(rule: RuleCode, { about, what, at, measured, against, subjectId, step }: Details): Finding {
  const { weight, mend, source, excusable } = RULES[rule] as Rule;
  return {
    id: `${rule}:${about}`,
    rule,
    weight: weight === 'by step' ? weightOf(step) : weight,
    subjectId: subjectId ?? null,
    what,
    at: at ?? null,
    measured: measured ?? null,
    against: against ?? null,
    mend,
    source,
    excusable,
    settled: false,
  };
}

function weightOf(step: Step | undefined): Weight {
  if (step?.offence === 'caution') return 'caution';
  return step?.critical ? 'stop' : 'note';
}
