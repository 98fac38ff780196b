import { CONTAINER_RULES } from './rules/containers.js';
import { CONTROL_RULES } from './rules/controls.js';
import { FAILURE_RULES } from './rules/failures.js';
import { PEOPLE_RULES } from './rules/people.js';
import { RUN_RULES } from './rules/run.js';
import { STEP_RULES } from './rules/steps.js';

export type { Rule } from './rules/rule.js';

/** Changes whenever a rule's meaning or weight does; a release keeps the version that judged it. */
export const RULES_VERSION = '3';

/** The gate's rules by code, in the order in which findings are shown. */
export const RULES = {
  ...RUN_RULES,
  ...STEP_RULES,
  ...CONTAINER_RULES,
  ...CONTROL_RULES,
  ...FAILURE_RULES,
  ...PEOPLE_RULES,
} as const;

export type RuleCode = keyof typeof RULES;
