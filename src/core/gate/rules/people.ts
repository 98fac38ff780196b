import type { Rule } from './rule.js';

const COMPETENCE = '42 CFR 493.1235, 493.1413(b)(8)-(9), 493.1451(b)(8)-(9); ISO 15189:2022 6.2.3';
const INSTRUMENT = '42 CFR 493.1254, ISO 15189:2022 6.5: equipment within its checks';

/** Rules about the people who worked on the run and the instruments that they used. */
export const PEOPLE_RULES = {
  'not-competent': {
    title: 'Competence not shown',
    weight: 'stop',
    mend: 'Have the work looked at by someone competent in this protocol, and assess the person before the next run.',
    source: COMPETENCE,
    serves: ['CLIA-54', 'ISO-03'],
    excusable: true,
  },
  'competence-lapsed': {
    title: 'Competence lapsed',
    weight: 'stop',
    mend: 'Assess the person anew; what was done meanwhile needs an exception with its reason.',
    source: COMPETENCE,
    serves: ['CLIA-54'],
    excusable: true,
  },
  'trainee-unsupervised': {
    title: 'Trainee without a supervisor',
    weight: 'stop',
    mend: 'Enter who supervised the run, if somebody competent did.',
    source: COMPETENCE,
    serves: ['CLIA-54', 'ISO-03'],
    excusable: true,
  },
  'instrument-unfit': {
    title: 'Instrument out of calibration or out of use',
    weight: 'stop',
    mend: 'Repeat what was measured with an instrument in calibration, or show by a check that it was right.',
    source: INSTRUMENT,
    serves: ['CLIA-11', 'ISO-07'],
    excusable: true,
  },
  'service-overdue': {
    title: 'Service of an instrument overdue',
    weight: 'caution',
    mend: 'Have it serviced; look whether it worked as it should.',
    source: INSTRUMENT,
    serves: ['CLIA-11', 'ISO-07'],
    excusable: true,
  },
} as const satisfies Record<string, Rule>;
