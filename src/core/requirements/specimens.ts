import type { Requirement } from './requirement.js';

/** What specimens were before they were stained, and what they were stained beside. */
export const SPECIMENS = [
  {
    id: 'gyn-papanicolaou',
    clause: '42 CFR 493.1274(b)(1)',
    asks: 'Gynaecological slides are stained by a Papanicolaou or modified Papanicolaou method.',
    records: 'Releases of gynaecological cytology, with what the gate found then and in second looks.',
    gap: 'The gate found another method.',
    source: 'read in a copy',
    area: 'bench work',
    byProtocol: true,
  },
  {
    id: 'gyn-apart',
    clause: '42 CFR 493.1274(b)(2)',
    asks: 'Gynaecological and other specimens are kept from contaminating each other while they are stained.',
    records: 'Releases of cytology, with what the gate found then and in second looks.',
    gap: 'The gate found it beside the other kind, or in a stain that had held it.',
    source: 'read in a copy',
    area: 'bench work',
    byProtocol: true,
  },
  {
    id: 'contaminating-apart',
    clause: '42 CFR 493.1274(b)(3)',
    asks: 'Other specimens likely to contaminate are stained apart, and the stains filtered or changed afterwards.',
    records: 'Releases of cytology, with what the gate found then and in second looks.',
    gap: 'The gate found it beside such a specimen, or in a stain neither filtered nor changed after one.',
    source: 'read in a copy',
    area: 'bench work',
    byProtocol: true,
  },
  {
    id: 'ischaemia-kept',
    clause: 'ASCO-CAP ER/PgR guideline (2010), adopted for HER2',
    asks: 'Tissue for these tests is in fixative within one hour, and its times are recorded.',
    records:
      'Releases of specimens for which such a test is planned, with what the gate found then and in second looks.',
    gap: 'The gate found a longer time, or one that nobody recorded.',
    source: 'read in a copy',
    area: 'bench work',
    byProtocol: true,
  },
  {
    id: 'fixation-kept',
    clause: 'ASCO-CAP HER2 guideline (2013, 2018)',
    asks: 'Tissue for this test is fixed in 10 % neutral buffered formalin for 6 to 72 hours.',
    records:
      'Releases of specimens for which such a test is planned, with what the gate found then and in second looks.',
    gap: 'The gate found another time or fixative, or times that nobody recorded.',
    source: 'read in a copy',
    area: 'bench work',
    byProtocol: true,
  },
] as const satisfies Requirement[];
