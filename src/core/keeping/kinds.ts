/** How long the law has one kind of record kept at the least. */
export interface KeptKind {
  code: string;
  title: string;
  /** Whole years; the law's own words stand in `from`. */
  floorYears: number;
  /** From when the years run, and anything else that the law adds. */
  from: string;
  clause: string;
  /** False where only a person can say when the years begin to run: nothing of it ever counts as past its term. */
  runs: boolean;
}

/**
 * What is kept here by kind, with the floor of 42 CFR 493.1105 (2 years; 10 for pathology reports, after reporting).
 * Where a kind is not named there word for word, the clause is that of the records that it belongs to.
 */
export const KEPT_KINDS = [
  {
    code: 'bench',
    title: 'Runs, their steps and what was recorded of them',
    floorYears: 2,
    from: 'from the record',
    clause: '42 CFR 493.1105(a)(3), 493.1283',
    runs: true,
  },
  {
    code: 'results',
    title: 'Releases: original, preliminary, amended and withdrawn results',
    floorYears: 10,
    from: 'after reporting, as for pathology reports',
    clause: '42 CFR 493.1105(a)(6)(ii)',
    runs: true,
  },
  {
    code: 'protocols',
    title: 'Protocols, with the days of their first and last use',
    floorYears: 2,
    from: 'after the protocol is no longer used',
    clause: '42 CFR 493.1105(a)(2)',
    runs: false,
  },
  {
    code: 'controls',
    title: 'Controls: results, series, failures and what was done',
    floorYears: 2,
    from: 'from the record',
    clause: '42 CFR 493.1105(a)(3), 493.1256(g)',
    runs: true,
  },
  {
    code: 'verification',
    title: 'Studies: what was verified or established of a method',
    floorYears: 2,
    from: 'and as long as the method is used',
    clause: '42 CFR 493.1105(a)(3)(i)',
    runs: false,
  },
  {
    code: 'stock',
    title: 'Lots, containers, preparations and baths',
    floorYears: 2,
    from: 'from the record',
    clause: '42 CFR 493.1105(a)(3), 493.1252',
    runs: true,
  },
  {
    code: 'storage',
    title: 'Temperatures of storage and their excursions',
    floorYears: 2,
    from: 'from the record',
    clause: '42 CFR 493.1105(a)(3), 493.1252(b)',
    runs: true,
  },
  {
    code: 'rounds',
    title: 'External assessment',
    floorYears: 2,
    from: 'from the record',
    clause: '42 CFR 493.1105(a)(4)',
    runs: true,
  },
  {
    code: 'quality',
    title: 'Recalls, lookbacks and corrective action',
    floorYears: 2,
    from: 'from the record',
    clause: '42 CFR 493.1105(a)(3) and (5), 493.1282',
    runs: true,
  },
  {
    code: 'people',
    title: 'Competence of people',
    floorYears: 2,
    from: 'from the record',
    clause: '42 CFR 493.1105(a)(5), 493.1235',
    runs: true,
  },
  {
    code: 'instruments',
    title: 'Instruments: calibration and care',
    floorYears: 2,
    from: 'from the record',
    clause: '42 CFR 493.1105(a)(3), 493.1254',
    runs: true,
  },
] as const satisfies readonly KeptKind[];

export type KeptCode = (typeof KEPT_KINDS)[number]['code'];
export const KEPT_CODES = KEPT_KINDS.map(({ code }) => code);
