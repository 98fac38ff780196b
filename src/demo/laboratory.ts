import type { Role } from '../core/people/roles.js';
import type { Reagent } from '../core/protocol/protocol.js';
import type { IdentifierKind } from '../core/specimen/subject.js';

/** The invented laboratory: nothing and nobody here exists. */
export const LABORATORY = {
  name: 'Saltmarrow Hospital, island of Outer Quill (invented)',
  zone: 'Atlantic/Azores',
};

export const PEOPLE = {
  technician: { name: 'Tansy Pebbleworth', login: 'tansy', roles: ['technician'] },
  pathologist: { name: 'Corvin Lanternquay', login: 'corvin', roles: ['releaser'] },
  manager: { name: 'Marl Dunewick', login: 'marl', roles: ['manager', 'technician'] },
  director: { name: 'Isolde Fathomgate', login: 'isolde', roles: ['director', 'releaser'] },
  reviewer: { name: 'Quennel Overlook', login: 'quennel', roles: ['reviewer'] },
  administrator: { name: 'Brindle Ashe', login: 'brindle', roles: ['administrator'] },
} as const satisfies Record<string, { name: string; login: string; roles: readonly Role[] }>;

/** Everyone's, told to whoever starts the demo. */
export const PASSWORD = 'demo of outer quill';

export const STATIONS = { bedside: 'Ultrasound 1', routine: 'H&E line', special: 'Special stains' };

/** The protocols that the director has approved. */
export const APPROVED = ['ao-fresh', 'he-harris-regressive', 'ihc-dab'] as const;
export type ApprovedProtocol = (typeof APPROVED)[number];

/** Figures that the laboratory sets otherwise than the shipped file proposes, by step; the other proposals it confirms. */
export const SETTINGS: Record<
  ApprovedProtocol,
  { step: string; at: ['time', 'window'] | ['gap', 'status']; value: Record<string, number> }[]
> = {
  'ao-fresh': [
    { step: 'dye', at: ['time', 'window'], value: { min: 15, max: 25 } },
    { step: 'into-fixative', at: ['gap', 'status'], value: { max: 60 } },
  ],
  'he-harris-regressive': [{ step: 'nuclear-stain', at: ['time', 'window'], value: { min: 4, max: 6 } }],
  'ihc-dab': [{ step: 'clear', at: ['time', 'window'], value: { min: 60, max: 1800 } }],
};

export const VERIFICATION: Record<ApprovedProtocol, { reference: string; summary: string }> = {
  'ao-fresh': {
    reference: 'VER-OQ-001',
    summary: 'Invented: 30 fresh remnants dyed and imaged; adequacy agreed with later H&E in 29.',
  },
  'he-harris-regressive': {
    reference: 'VER-OQ-002',
    summary: 'Invented: 20 sections against the method used until now; no difference that two readers could name.',
  },
  'ihc-dab': {
    reference: 'VER-OQ-003',
    summary: 'Invented: 40 known cases, 20 positive and 20 negative; all as known.',
  },
};

export const DYE = 'acridine-orange-working';
export const SALINE = 'saline';

/** Suppliers of what the laboratory buys, by the kind of reagent; one of them supplies all others. */
export const SUPPLIERS: { [kind in Reagent['kind']]?: string } & { other: string } = {
  other: 'Tidewater Reagents (invented)',
  antibody: 'Gullhaven Antibodies (invented)',
  detection: 'Gullhaven Antibodies (invented)',
};

/** What is known of a lot beyond what all lots here have in common. */
export const LOT_DETAILS: Record<string, { openedLife?: string; strength?: string; storage?: string }> = {
  [DYE]: { openedLife: 'P7D', strength: '0.6 mmol/L', storage: '2 to 8 Cel, dark' },
  'nbf-10': { strength: '10 %' },
  'primary-antibody': { storage: '2 to 8 Cel' },
};

/** What one bottle holds and costs, in hundredths, by the kind of reagent. */
export const SIZES: { other: string } & Record<string, string> = {
  antibody: '7 mL',
  detection: '110 mL',
  mountant: '100 mL',
  other: '500 mL',
};
export const PRICES: { other: number } & Record<string, number> = {
  antibody: 31_500,
  detection: 42_000,
  mountant: 2_900,
  dye: 3_650,
  other: 1_450,
};

/** Patients, whose names, numbers and birth dates look invented because they are. */
export const PATIENTS = {
  lymphNode: identifiers('Quillan Testperson', 'OQ-000-0117', '1900-01-01'),
  thyroid: identifiers('Seabright Madeupname', 'OQ-000-0231', '1900-02-02'),
  parotid: identifiers('Marrowby Inventedby', 'OQ-000-0474', '1900-04-04'),
  skin: identifiers('Fennel Nobodyknown', 'OQ-000-0352', '1900-03-03'),
};

function identifiers(name: string, number: string, born: string): { kind: IdentifierKind; value: string }[] {
  return [
    { kind: 'patient name', value: name },
    { kind: 'patient number', value: number },
    { kind: 'birth date', value: born },
  ];
}

/** What stands for the controls that the protocols require, by the protocol and its control requirement. */
export const CONTROLS: Record<ApprovedProtocol, Record<string, string>> = {
  'ao-fresh': {
    positive: 'trim of tonsil, fresh, dyed beside the core',
    negative: 'gelatin gel without cells, dyed beside the core',
    autofluorescence: 'trim of tonsil, fresh, not dyed',
  },
  'he-harris-regressive': { daily: 'section of appendix, the slide of the day' },
  'ihc-dab': {
    'positive-tissue': 'section of tonsil, known positive',
    'negative-tissue': 'section of brain, known negative',
  },
};
