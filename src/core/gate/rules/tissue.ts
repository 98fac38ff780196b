import { type Rule } from './rule.js';

const FIXATION = 'ASCO-CAP HER2 2013/2018: 10 % neutral buffered formalin for 6 to 72 h, exceptions told in the report';
const ISCHAEMIA = 'ASCO-CAP ER/PgR 2010, adopted for HER2: cold ischaemia at most 1 h, its times recorded';

/** Rules about how the tissue was handled before, for the tests that ask. */
export const TISSUE_RULES = {
  'cold-ischaemia-long': {
    title: 'Too long before fixation',
    weight: 'caution',
    mend: 'Tell it in the report, look at internal controls, and acknowledge it; consider another specimen.',
    source: ISCHAEMIA,
    serves: ['PRE-02', 'ISO-17'],
    excusable: true,
    limits: {
      minutes: { title: 'Longest time from the body into fixative', unit: 'min', value: 60, stricter: 'less' },
    },
  },
  'fixation-short': {
    title: 'Fixed too short',
    weight: 'caution',
    mend: 'Tell it in the report, look at internal controls, and acknowledge it.',
    source: FIXATION,
    serves: ['PRE-01', 'ISO-17'],
    excusable: true,
    limits: { hours: { title: 'Shortest time in fixative', unit: 'h', value: 6, stricter: 'more' } },
  },
  'fixation-long': {
    title: 'Fixed too long',
    weight: 'caution',
    mend: 'Tell it in the report, look at internal controls, and acknowledge it.',
    source: FIXATION,
    serves: ['PRE-01', 'ISO-17'],
    excusable: true,
    limits: { hours: { title: 'Longest time in fixative', unit: 'h', value: 72, stricter: 'less' } },
  },
  'fixative-other': {
    title: 'Another fixative than the guideline names',
    weight: 'caution',
    mend: 'Show by your own validation that the test holds with this fixative, tell it in the report, and acknowledge it.',
    source: FIXATION,
    serves: ['PRE-01'],
    excusable: true,
  },
  'tissue-times-unknown': {
    title: 'Times before fixation or in it unknown',
    weight: 'caution',
    mend: 'Enter when it left the body, went into fixative and came out; if nobody knows, tell it in the report.',
    source: `${ISCHAEMIA}; a missing time is unknown and never kept`,
    serves: ['PRE-01', 'PRE-02'],
    excusable: true,
  },
  'made-unfit': {
    title: 'Made unfit by an earlier stain',
    weight: 'stop',
    mend: 'Stain another section or piece of the same specimen.',
    source: 'what the earlier protocol states about the tissue afterwards',
    serves: ['LOCAL', 'ISO-17'],
    excusable: true,
  },
} as const satisfies Record<string, Rule>;
