import { type Rule } from './rule.js';

const CLOCKS = '42 CFR 493.1256(d)(6), (e)(1)-(3), 493.1273(a): each control in its time';
const CONTROLS = '42 CFR 493.1273(a), 493.1256(f): controls accepted before release';

/** Rules about controls. */
export const CONTROL_RULES = {
  'control-missing': {
    title: 'Control missing',
    weight: 'stop',
    mend: 'Stain the control and read it; one slide may answer several clocks.',
    source: CONTROLS,
    serves: ['CLIA-24', 'CLIA-25', 'CLIA-31', 'CLIA-27'],
    excusable: true,
  },
  'control-unread': {
    title: 'Control not read',
    weight: 'stop',
    mend: 'Read the control and record what was seen.',
    source: CONTROLS,
    serves: ['CLIA-27', 'CLIA-31'],
    excusable: true,
  },
  'control-failed': {
    title: 'Control failed',
    weight: 'stop',
    mend: 'Find the cause, correct it, and stain again with a control that reacts as expected.',
    source: CONTROLS,
    serves: ['CLIA-27', 'ISO-21'],
    excusable: true,
  },
  'control-stale': {
    title: 'Control out of its time',
    weight: 'stop',
    mend: 'Stain the control with what is in use now and read it; one slide may answer several clocks.',
    source: CLOCKS,
    serves: ['CLIA-19', 'CLIA-24', 'CLIA-25'],
    excusable: true,
  },
  'control-lot-unchecked': {
    title: 'Lot or shipment not checked',
    weight: 'stop',
    mend: 'Stain the control with this lot and read it, before its results leave.',
    source: '42 CFR 493.1256(e)(1), ISO 15189:2022 6.6.3: each lot and shipment checked when opened',
    serves: ['CLIA-23', 'ISO-11'],
    excusable: true,
  },
  'control-second-reader': {
    title: 'Second reader missing',
    weight: 'stop',
    mend: 'Let a second person read the control.',
    source: 'the laboratory’s control plan',
    serves: ['LOCAL'],
    excusable: true,
  },
  'control-picture-missing': {
    title: 'Picture of the control missing',
    weight: 'caution',
    mend: 'Take the picture and keep it with the result, or acknowledge that there is none.',
    source: 'the laboratory’s control plan',
    serves: ['LOCAL'],
    excusable: true,
  },
} as const satisfies Record<string, Rule>;
