import { GUARD_BAND, MANUFACTURER, type Rule } from './rule.js';

/** Rules about steps, their times and temperatures. */
export const STEP_RULES = {
  'step-missing': {
    title: 'Step left out',
    weight: 'by step',
    mend: 'Repeat the run, or enter the step late if it was done and not recorded.',
    source: MANUFACTURER,
    excusable: true,
  },
  'step-not-ended': {
    title: 'Step without an end',
    weight: 'by step',
    mend: 'Enter when the step ended, with how sure that is.',
    source: '42 CFR 493.1283(a)(4): records of testing',
    excusable: true,
  },
  'step-repeated': {
    title: 'Step done more than once',
    weight: 'by step',
    mend: 'Say in a note why it was repeated.',
    source: MANUFACTURER,
    excusable: true,
  },
  'step-order': {
    title: 'Step out of order',
    weight: 'by step',
    mend: 'Repeat the run in order, or correct the time if it was recorded wrongly.',
    source: '21 CFR 11.10(f): permitted order of steps',
    excusable: true,
  },
  'step-short': {
    title: 'Step too short',
    weight: 'by step',
    mend: 'Stain again, or correct the time if it was recorded wrongly.',
    source: MANUFACTURER,
    excusable: true,
  },
  'step-long': {
    title: 'Step too long',
    weight: 'by step',
    mend: 'Stain again, or correct the time if it was recorded wrongly.',
    source: MANUFACTURER,
    excusable: true,
  },
  'step-undecided': {
    title: 'Step time undecided',
    weight: 'by step',
    mend: 'Look at the clocks and the stain, and resolve it with a reason.',
    source: GUARD_BAND,
    excusable: true,
  },
  'gap-long': {
    title: 'Too long between steps',
    weight: 'by step',
    mend: 'Look for drying; stain again if in doubt.',
    source: MANUFACTURER,
    excusable: true,
  },
  'gap-undecided': {
    title: 'Time between steps undecided',
    weight: 'by step',
    mend: 'Look at the clocks and the stain, and resolve it with a reason.',
    source: GUARD_BAND,
    excusable: true,
  },
  'eye-not-named': {
    title: 'Nobody named who judged the end',
    weight: 'by step',
    mend: 'Enter who judged the end of the step.',
    source: '42 CFR 493.1283(a)(4): who performed it',
    excusable: true,
  },
  'temperature-missing': {
    title: 'Temperature not read',
    weight: 'by step',
    mend: 'Enter the reading if one was taken.',
    source: '42 CFR 493.1252(b): conditions recorded',
    excusable: true,
  },
  'temperature-outside': {
    title: 'Temperature outside its limits',
    weight: 'by step',
    mend: 'Stain again at the stated temperature.',
    source: '42 CFR 493.1252(b): conditions recorded',
    excusable: true,
  },
} as const satisfies Record<string, Rule>;
