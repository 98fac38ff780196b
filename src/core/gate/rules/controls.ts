import { type Rule } from './rule.js';

const CONTROLS = '42 CFR 493.1273(a), 493.1256(f): controls accepted before release';

/** Rules about controls. */
export const CONTROL_RULES = {
  'control-missing': {
    title: 'Control missing',
    weight: 'stop',
    mend: 'Stain the control and read it.',
    source: CONTROLS,
    excusable: true,
  },
  'control-unread': {
    title: 'Control not read',
    weight: 'stop',
    mend: 'Read the control and record what was seen.',
    source: CONTROLS,
    excusable: true,
  },
  'control-failed': {
    title: 'Control failed',
    weight: 'stop',
    mend: 'Find the cause, correct it, and stain again with a control that reacts as expected.',
    source: CONTROLS,
    excusable: true,
  },
} as const satisfies Record<string, Rule>;
