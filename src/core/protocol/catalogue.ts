import type { Reagent } from './protocol.js';

/** The file of reagents that the steps of protocols name. */
export interface Catalogue {
  format: 'stainwright-catalogue/1';
  reagents: Reagent[];
}

export const REAGENT_KINDS = [
  'dye',
  'solvent',
  'buffer',
  'fixative',
  'antibody',
  'detection',
  'mountant',
  'solution',
  'water',
] as const satisfies readonly Reagent['kind'][];

export const SOURCE_KINDS = [
  'paper',
  'handbook',
  'teaching page',
  'protocol page',
  'guideline',
  'law',
  'standard',
  'common practice',
  'memory',
  'proposal',
  'laboratory',
] as const;

/** Where a figure or a statement comes from. */
export interface Source {
  key: string;
  citation: string;
  kind: (typeof SOURCE_KINDS)[number];
  /** How much of it the person who wrote the figure down has read. */
  seen: string;
}

/** The file of sources that protocols and reagents name by key. */
export interface SourceList {
  format: 'stainwright-sources/1';
  sources: Source[];
}
