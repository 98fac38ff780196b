import type { RequirementId } from '../requirements/all.js';

/** How far the words here were checked against their source. */
export type Basis = 'read' | 'from memory';

/** What a published clause asks, in our own words; whoever needs its exact words reads the source. */
export interface Clause {
  /** Where it stands. */
  citation: string;
  /** What it asks, in short. */
  asks: string;
  basis: Basis;
  /** Id of the requirement whose proof the record can show for it; absent where none is gathered. */
  proof?: RequirementId;
}

/**
 * The clauses that the gate's rules serve, by our own keys. They are summaries: the laboratory checks them against
 * the source, and local law and accreditors may ask more.
 */
export const CLAUSES = {
  'CLIA-01': {
    citation: '42 CFR 493.1252(a)',
    asks: 'Follow the maker’s instructions and keep results within the performance that the laboratory stated.',
    basis: 'read',
  },
  'CLIA-02': {
    citation: '42 CFR 493.1252(b)',
    asks: 'Define, monitor and record the conditions that storage and operation depend on, temperature among them.',
    basis: 'read',
    proof: 'storage-watched',
  },
  'CLIA-04': {
    citation: '42 CFR 493.1252(d)',
    asks: 'Use nothing past its expiry, deteriorated or substandard.',
    basis: 'read',
    proof: 'nothing-expired',
  },
  'CLIA-05': {
    citation: '42 CFR 493.1252(e)',
    asks: 'Do not mix components of kits of different lots, unless the maker allows it.',
    basis: 'read',
    proof: 'kits-not-mixed',
  },
  'CLIA-07': {
    citation: '42 CFR 493.1253(b)(2)',
    asks: 'Establish the performance of a modified or in-house method before results are reported.',
    basis: 'read',
    proof: 'method-verified',
  },
  'CLIA-11': {
    citation: '42 CFR 493.1254',
    asks: 'Do and record the maintenance and function checks of equipment.',
    basis: 'from memory',
    proof: 'instruments-checked',
  },
  'CLIA-13': {
    citation: '42 CFR 493.1251(d)',
    asks: 'The director approves, signs and dates procedures and their changes before use.',
    basis: 'from memory',
    proof: 'procedure-approved',
  },
  'CLIA-19': {
    citation: '42 CFR 493.1256(d)(6)',
    asks: 'Run controls again after a complete change of reagents, major maintenance or replacement of a critical part.',
    basis: 'from memory',
    proof: 'control-after-change',
  },
  'CLIA-23': {
    citation: '42 CFR 493.1256(e)(1)',
    asks: 'Check each batch, lot and shipment of stains and reagents for its reactivity when prepared or opened.',
    basis: 'from memory',
    proof: 'control-each-lot',
  },
  'CLIA-24': {
    citation: '42 CFR 493.1256(e)(2)',
    asks: 'Test staining materials for their intended reactivity each day of use.',
    basis: 'from memory',
    proof: 'control-each-day',
  },
  'CLIA-25': {
    citation: '42 CFR 493.1256(e)(3), 493.1273(a)',
    asks: 'Fluorescent and immunohistochemical stains: positive and negative reactivity each time of use.',
    basis: 'read',
    proof: 'control-each-use',
  },
  'CLIA-27': {
    citation: '42 CFR 493.1256(f)',
    asks: 'Controls meet their criteria before patients’ results are reported.',
    basis: 'from memory',
    proof: 'control-before-result',
  },
  'CLIA-31': {
    citation: '42 CFR 493.1273(a)',
    asks: 'Special stains: a control slide of known reactivity with each slide or group of slides, its reaction documented.',
    basis: 'read',
    proof: 'control-each-group',
  },
  'CLIA-36': {
    citation: '42 CFR 493.1274(b)(1)',
    asks: 'Stain gynaecological slides by a Papanicolaou or modified Papanicolaou method.',
    basis: 'read',
    proof: 'gyn-papanicolaou',
  },
  'CLIA-37': {
    citation: '42 CFR 493.1274(b)(2)',
    asks: 'Keep gynaecological and other specimens from contaminating each other while they are stained.',
    basis: 'read',
    proof: 'gyn-apart',
  },
  'CLIA-38': {
    citation: '42 CFR 493.1274(b)(3)',
    asks: 'Stain other specimens with a high potential for cross-contamination apart, and filter or change the stains afterwards.',
    basis: 'read',
    proof: 'contaminating-apart',
  },
  'CLIA-46': {
    citation: '42 CFR 493.1282(b)(2)',
    asks: 'After a failed control, evaluate all patients’ results of the run and since the last acceptable one.',
    basis: 'read',
    proof: 'control-failures-closed',
  },
  'CLIA-47': {
    citation: '42 CFR 493.1282(b)(3)',
    asks: 'Document what was done when storage criteria were not met.',
    basis: 'read',
    proof: 'storage-acted',
  },
  'CLIA-48': {
    citation: '42 CFR 493.1283(a)',
    asks: 'Records identify the specimen positively and tell the dates of testing and who performed it.',
    basis: 'read',
    proof: 'identity-kept',
  },
  'CLIA-50': {
    citation: '42 CFR 493.1291(c)(1)',
    asks: 'A report identifies the patient by name and number, or by two unique numbers.',
    basis: 'read',
  },
  'CLIA-54': {
    citation: '42 CFR 493.1235, 493.1413(b)(8)-(9), 493.1451(b)(8)-(9)',
    asks: 'Assess competence by six elements, twice in the first year and yearly afterwards, and when a method changes.',
    basis: 'read',
    proof: 'competence-current',
  },
  'ISO-03': {
    citation: 'ISO 15189:2022 6.2.3',
    asks: 'Authorise people for the tasks that they do.',
    basis: 'from memory',
    proof: 'competence-current',
  },
  'ISO-07': {
    citation: 'ISO 15189:2022 6.4.5',
    asks: 'Maintain equipment, take what is faulty out of service, and examine the effect on past results.',
    basis: 'from memory',
    proof: 'instruments-checked',
  },
  'ISO-10': {
    citation: 'ISO 15189:2022 6.6.2',
    asks: 'Store reagents as the maker specifies, and monitor it.',
    basis: 'from memory',
    proof: 'storage-watched',
  },
  'ISO-11': {
    citation: 'ISO 15189:2022 6.6.3',
    asks: 'Verify each new lot or shipment before use, or before results are released.',
    basis: 'from memory',
    proof: 'lots-accepted',
  },
  'ISO-14': {
    citation: 'ISO 15189:2022 6.6.6',
    asks: 'Investigate incidents that can be traced to a reagent.',
    basis: 'from memory',
    proof: 'lookbacks-closed',
  },
  'ISO-15': {
    citation: 'ISO 15189:2022 6.6.7',
    asks: 'Record each reagent’s identity, lot, expiry, first use, end of use and acceptance.',
    basis: 'from memory',
    proof: 'first-use-dated',
  },
  'ISO-17': {
    citation: 'ISO 15189:2022 7.2.6-7.2.7',
    asks: 'Receive specimens by their identity, judge their acceptance and stability, and tell exceptions in the report.',
    basis: 'from memory',
  },
  'ISO-21': {
    citation: 'ISO 15189:2022 7.3.7.2',
    asks: 'Release nothing while quality control fails; look at the results since it last passed.',
    basis: 'from memory',
    proof: 'control-before-result',
  },
  'ISO-34': {
    citation: 'ISO 15189:2022 8.4.1',
    asks: 'Make records at the time of the activity.',
    basis: 'from memory',
    proof: 'recorded-at-once',
  },
  'P11-06': {
    citation: '21 CFR 11.10(f)',
    asks: 'Operational checks enforce the permitted order of steps. Not binding on a laboratory as such; a design target.',
    basis: 'read',
  },
  'FDA-03': {
    citation: '21 CFR 809.30(e)',
    asks: 'The report tells that the laboratory developed a test with an analyte specific reagent.',
    basis: 'from memory',
  },
  'FDA-06': {
    citation: '21 CFR 809.10(c)(2)(i)',
    asks: 'A product for research only is labelled as not for diagnostic use.',
    basis: 'from memory',
  },
  'PRE-01': {
    citation: 'ASCO-CAP HER2 guideline (2013, 2018)',
    asks: 'Fix breast tissue for HER2 in 10 % neutral buffered formalin for 6 to 72 hours.',
    basis: 'read',
    proof: 'fixation-kept',
  },
  'PRE-02': {
    citation: 'ASCO-CAP ER/PgR guideline (2010), adopted for HER2',
    asks: 'Cold ischaemia of at most one hour, with its times recorded.',
    basis: 'read',
    proof: 'ischaemia-kept',
  },
  'JCGM-106': {
    citation: 'JCGM 106:2012',
    asks: 'What a measurement with its uncertainty cannot decide counts neither as kept nor as broken.',
    basis: 'from memory',
  },
  LOCAL: {
    citation: 'local procedure',
    asks: 'What the laboratory itself decided: its protocol, control plan or policy.',
    basis: 'read',
    proof: 'policies-signed',
  },
} as const satisfies Record<string, Clause>;

export type ClauseKey = keyof typeof CLAUSES;
