/** How a reagent behaves beside others in storage; one may be of several classes. */
export const STORAGE_CLASSES = [
  'flammable',
  'oxidiser',
  'acid',
  'base',
  'sulphite',
  'azide',
  'desensitised explosive',
  'general',
] as const;
export type StorageClass = (typeof STORAGE_CLASSES)[number];

/** How a reagent is kept: degrees Celsius, ends included, and whether in the dark. */
export interface StorageNeed {
  min?: number;
  max?: number;
  dark?: boolean;
}

/** Two classes that must not lie in one place, what would happen, and who says so. */
export interface Clash {
  classes: readonly [StorageClass, StorageClass];
  why: string;
  source: string;
}

/**
 * What must not be stored together. UN GHS Annex 3 and Regulation (EC) 1272/2008 Annex II are given from memory; where no rule
 * was at hand the entry says that it is common practice.
 */
export const CLASHES: readonly Clash[] = [
  {
    classes: ['flammable', 'oxidiser'],
    why: 'an oxidiser feeds a fire of the flammable one',
    source: 'UN GHS Annex 3, P220 for H271 and H272: kept away from combustible materials',
  },
  {
    classes: ['acid', 'sulphite'],
    why: 'acid sets sulphur dioxide free from it',
    source: 'Regulation (EC) 1272/2008 Annex II, EUH031: contact with acids liberates toxic gas',
  },
  {
    classes: ['acid', 'azide'],
    why: 'acid sets hydrazoic acid free from it',
    source: 'Regulation (EC) 1272/2008 Annex II, EUH032: contact with acids liberates very toxic gas',
  },
  { classes: ['acid', 'base'], why: 'spilt together they heat up and spatter', source: 'common practice, no source' },
  {
    classes: ['oxidiser', 'sulphite'],
    why: 'an oxidiser and a reducer react violently',
    source: 'common practice, no source',
  },
  {
    classes: ['desensitised explosive', 'base'],
    why: 'salts of picric acid explode more easily than the acid',
    source: 'common practice, no source',
  },
  {
    classes: ['desensitised explosive', 'oxidiser'],
    why: 'an oxidiser can set it off',
    source: 'common practice, no source',
  },
  {
    classes: ['desensitised explosive', 'flammable'],
    why: 'a fire beside it dries it and sets it off',
    source: 'common practice, no source',
  },
];

/**
 * The pairs of classes that clash between two things, by what must not be stored together; empty when they may lie in one
 * place. `clashesOf(['oxidiser'], ['flammable', 'acid'])` has one entry, that of a flammable and an oxidiser.
 */
export function clashesOf(one: readonly StorageClass[], other: readonly StorageClass[]): Clash[] {
  return CLASHES.filter(
    ({ classes: [a, b] }) => (one.includes(a) && other.includes(b)) || (one.includes(b) && other.includes(a)),
  );
}
