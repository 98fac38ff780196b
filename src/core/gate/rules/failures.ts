import { type Rule } from './rule.js';

const SINCE_LAST = '42 CFR 493.1282(b)(2): all results of the failed run and since the last acceptable one';

/** Rules about what a failed control covers. */
export const FAILURE_RULES = {
  'control-failure-open': {
    title: 'Covered by a failed control',
    weight: 'stop',
    mend: 'Find the cause, correct it, let a repeat pass, and close the failure with its cases decided.',
    source: SINCE_LAST,
    serves: ['CLIA-46', 'ISO-21'],
    excusable: true,
  },
  'control-failure-decided': {
    title: 'Decided after a failed control',
    weight: 'stop',
    mend: 'Do what was decided: stain again, or release by exception with the reason.',
    source: SINCE_LAST,
    serves: ['CLIA-46'],
    excusable: true,
  },
} as const satisfies Record<string, Rule>;
