import { type Rule } from './rule.js';

const APART = '42 CFR 493.1274(b)(2): gynaecological and other specimens kept from contaminating each other';
const CONTAMINATING = '42 CFR 493.1274(b)(3): stained apart, and the stains filtered or changed afterwards';
const ALIQUOT = 'the protocol’s own limit of patients for an aliquot of a fresh dye, against cross-contamination';

/** Rules about what must not be stained together, and about what was in the stain before. */
export const CYTOLOGY_RULES = {
  'gyn-not-papanicolaou': {
    title: 'Gynaecological slide not stained by Papanicolaou',
    weight: 'stop',
    mend: 'Stain it by a Papanicolaou or modified Papanicolaou method; a protocol says so under "cytology".',
    source: '42 CFR 493.1274(b)(1): gynaecological slides by a Papanicolaou method',
    serves: ['CLIA-36'],
    excusable: true,
  },
  'gyn-beside-other': {
    title: 'Gynaecological and other cytology together',
    weight: 'stop',
    mend: 'Look for foreign cells, and stain the next ones apart, or in a protocol that states what keeps them apart.',
    source: APART,
    serves: ['CLIA-37'],
    excusable: true,
  },
  'contaminating-beside-other': {
    title: 'Contaminating specimen beside another',
    weight: 'stop',
    mend: 'Look for foreign cells; stain such a specimen in a run of its own, after all others.',
    source: CONTAMINATING,
    serves: ['CLIA-38'],
    excusable: true,
  },
  'stain-not-renewed': {
    title: 'Stain neither filtered nor changed after a contaminating specimen',
    weight: 'stop',
    mend: 'Look for foreign cells; filter or change the stain and record it, and stain again if in doubt.',
    source: CONTAMINATING,
    serves: ['CLIA-38'],
    excusable: true,
  },
  'aliquot-shared': {
    title: 'One aliquot for several patients',
    weight: 'stop',
    mend: 'Take another piece with an aliquot of its own; if there is none, let the releaser decide by exception.',
    source: ALIQUOT,
    serves: ['LOCAL', 'CLIA-01'],
    excusable: true,
  },
  'aliquot-undecided': {
    title: 'Whether one patient’s aliquot is undecided',
    weight: 'stop',
    mend: 'Find out whether the specimens are of one patient, and resolve it with a reason.',
    source: ALIQUOT,
    serves: ['LOCAL', 'CLIA-01'],
    excusable: true,
  },
} as const satisfies Record<string, Rule>;
