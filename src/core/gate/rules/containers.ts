import { GUARD_BAND, MANUFACTURER, type Rule } from './rule.js';

const OUT_OF_DATE = '42 CFR 493.1252(d): nothing past its expiry';
const ACCEPTED = '42 CFR 493.1256(e)(1), ISO 15189:2022 6.6.3: each lot and shipment checked before use';

/** Rules about the containers that were used. */
export const CONTAINER_RULES = {
  'container-missing': {
    title: 'No container scanned',
    weight: 'stop',
    mend: 'Scan the container that was used.',
    source: 'ISO 15189:2022 6.6.7: reagent identity recorded',
    excusable: true,
  },
  'wrong-reagent': {
    title: 'Wrong reagent',
    weight: 'stop',
    mend: 'Stain again with the right reagent.',
    source: MANUFACTURER,
    excusable: true,
  },
  'lot-quarantined': {
    title: 'Lot not accepted',
    weight: 'stop',
    mend: 'Take a container of an accepted lot, or accept this one with its evidence.',
    source: ACCEPTED,
    excusable: true,
  },
  'lot-rejected': {
    title: 'Lot rejected',
    weight: 'stop',
    mend: 'Stain again with a container of an accepted lot.',
    source: ACCEPTED,
    excusable: true,
  },
  'lot-recalled': {
    title: 'Lot recalled',
    weight: 'stop',
    mend: 'Set the lot aside and stain again with another.',
    source: 'ISO 15189:2022 6.6.6: incidents traced to a reagent',
    excusable: true,
  },
  'not-opened': {
    title: 'Container not recorded as opened',
    weight: 'stop',
    mend: 'Enter when it was opened.',
    source: 'ISO 15189:2022 6.6.7: first use dated',
    excusable: true,
  },
  emptied: {
    title: 'Container recorded as empty',
    weight: 'stop',
    mend: 'Scan the container that was really used.',
    source: 'ISO 15189:2022 6.6.7: out of service dated',
    excusable: true,
  },
  discarded: {
    title: 'Container recorded as discarded',
    weight: 'stop',
    mend: 'Scan the container that was really used.',
    source: 'ISO 15189:2022 6.6.7: out of service dated',
    excusable: true,
  },
  'past-expiry': {
    title: 'Past its expiry',
    weight: 'stop',
    mend: 'Stain again with a container in date.',
    source: OUT_OF_DATE,
    excusable: true,
  },
  'past-opened-life': {
    title: 'Opened too long ago',
    weight: 'stop',
    mend: 'Stain again with a container within its opened life.',
    source: OUT_OF_DATE,
    excusable: true,
  },
  'past-preparation-life': {
    title: 'Preparation past its life',
    weight: 'stop',
    mend: 'Make it up anew and stain again.',
    source: OUT_OF_DATE,
    excusable: true,
  },
  'on-hold': {
    title: 'Container on hold',
    weight: 'stop',
    mend: 'Decide on the hold with a reason, or stain again with another container.',
    source: '42 CFR 493.1252(b), ISO 15189:2022 6.6.2: stored as the maker says',
    excusable: true,
  },
  'research-only': {
    title: 'Made for research only',
    weight: 'stop',
    mend: 'Accept the lot with the record of your own verification, or stain again with a product for diagnostic use.',
    source: '21 CFR 809.10(c)(2)(i); 42 CFR 493.1253(b)(2): own verification',
    excusable: true,
  },
  'kit-mixed': {
    title: 'Parts of different kit lots',
    weight: 'stop',
    mend: 'Stain again with parts of one kit lot, unless the maker says that they may be exchanged.',
    source: '42 CFR 493.1252(e): components of one kit lot',
    excusable: true,
  },
  'analyte-specific': {
    title: 'Analyte specific reagent',
    weight: 'note',
    mend: 'Put the statement that the maker’s rules ask for on the report.',
    source: '21 CFR 809.30(e): statement of the laboratory that developed the test',
    excusable: true,
  },
  'bath-load': {
    title: 'Bath used beyond its load',
    weight: 'stop',
    mend: 'Change the bath and stain again.',
    source: '42 CFR 493.1252(d): nothing deteriorated; the load is the protocol’s or the laboratory’s own',
    excusable: true,
  },
  'filter-due': {
    title: 'Bath not filtered in time',
    weight: 'caution',
    mend: 'Look for precipitate on the slides, filter the bath, and acknowledge it with what was seen.',
    source: '42 CFR 493.1252(a): the stated procedure; how often is the protocol’s or the laboratory’s own',
    excusable: true,
  },
  'limit-undecided': {
    title: 'Validity undecided',
    weight: 'stop',
    mend: 'Find out when the container was used, and resolve it with a reason.',
    source: GUARD_BAND,
    excusable: true,
  },
} as const satisfies Record<string, Rule>;
