import { CONTAINER_RULES } from './rules/containers.js';
import { CONTROL_RULES } from './rules/controls.js';
import { CYTOLOGY_RULES } from './rules/cytology.js';
import { FAILURE_RULES } from './rules/failures.js';
import { PEOPLE_RULES } from './rules/people.js';
import type { Rule } from './rules/rule.js';
import { RUN_RULES } from './rules/run.js';
import { STEP_RULES } from './rules/steps.js';
import { TISSUE_RULES } from './rules/tissue.js';

export type { Rule, RuleLimit } from './rules/rule.js';

/** Changes whenever a rule's meaning or weight does; a release keeps the version that judged it. */
export const RULES_VERSION = '5';

/** The gate's rules by code, in the order in which findings are shown. */
export const RULES = {
  ...RUN_RULES,
  ...STEP_RULES,
  ...CONTAINER_RULES,
  ...CYTOLOGY_RULES,
  ...CONTROL_RULES,
  ...FAILURE_RULES,
  ...TISSUE_RULES,
  ...PEOPLE_RULES,
} as const;

export type RuleCode = keyof typeof RULES;

/** The rule of a code; null when the gate has none of that code. */
export function ruleOf(code: string): Rule | null {
  return Object.hasOwn(RULES, code) ? RULES[code as RuleCode] : null;
}
