/**
 * What a cytological specimen is, as far as staining has to keep it apart (42 CFR 493.1274(b)): gynaecological, other, or
 * other with a high potential for cross-contamination, such as an effusion rich in tumour.
 */
export const CYTOLOGY = ['gynaecological', 'non-gynaecological', 'non-gynaecological, contaminating'] as const;
export type Cytology = (typeof CYTOLOGY)[number];

/** The one whose cells may come off and settle on other slides. */
export const CONTAMINATING: Cytology = 'non-gynaecological, contaminating';
