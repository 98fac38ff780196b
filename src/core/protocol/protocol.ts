import type { StorageClass, StorageNeed } from '../storage/classes.js';

/**
 * A stain's protocol: ordered, timed steps, its controls and what it asks of reagents.
 * The same shape stands in the YAML file, in the HTTP body, in the revision's row and here.
 */
export interface Protocol {
  /** Names the file format and its version. */
  format: 'stainwright-protocol/1';
  /** Lower-case words joined by hyphens; the file's name without its ending. */
  id: string;
  title: string;
  purpose: string;
  /** Decides which control rule applies (42 CFR 493.1256(e), 493.1273(a)). */
  category: StainCategory;
  /** Where it is done; at the bedside the discreet screen and the spoken answer belong to it. */
  setting: 'bedside' | 'laboratory';
  material: Material;
  /** What a good result looks like. */
  expected: string;
  steps: Step[];
  /** Where a result may leave, in the order of their steps. */
  releasePoints: ReleasePoint[];
  controls: ControlRequirement[];
  cautions: Caution[];
  /** When shared reagents are changed or filtered. */
  change?: ChangeRule;
  /** What it is for cytological specimens; absent where it is for tissue alone. */
  cytology?: CytologyRule;
  storage?: { text: string; status: FigureStatus }[];
  /** What the tissue stays fit for afterwards. */
  fitness: Fitness[];
  /** Keys of sources.yaml on which the protocol as a whole rests. */
  sources: string[];
}

export const STAIN_CATEGORIES = [
  'routine',
  'special',
  'immunohistochemical',
  'fluorescent',
  'in-situ-hybridisation',
] as const;
export type StainCategory = (typeof STAIN_CATEGORIES)[number];

export interface Material {
  form: 'fresh tissue' | 'section' | 'smear';
  description: string;
  /** True when there is no second piece to fall back on, as with a core or an aspirate. */
  irreplaceable: boolean;
}

/** How far a figure can be trusted; everything but 'set by this laboratory' comes with the shipped file. */
export const FIGURE_STATUSES = [
  'stated by source',
  'within range stated by source',
  'between values stated by sources',
  'published ends',
  'covers all stated values, ends set here',
  'step named by source, value chosen here',
  'from memory',
  'common practice, no source',
  'proposal',
  'set by this laboratory',
] as const;
export type FigureStatus = (typeof FIGURE_STATUSES)[number];

export const TIME_UNITS = ['ms', 's', 'min', 'h', 'd'] as const;
export type TimeUnit = (typeof TIME_UNITS)[number];

export interface Step {
  /** Unique within the protocol; lower-case words joined by hyphens. */
  id: string;
  action: string;
  /** Code of the reagent in the catalogue; absent when the step uses none. */
  reagent?: string;
  concentration?: Concentration;
  /** The vessel in the trade's words, such as 'staining dish'. */
  vessel: string;
  time: StepTime;
  /** Longest time from the end of the step before to the start of this one. */
  gap?: Gap;
  /** Who decides the end: the clock, or a person's eye (who is then recorded). */
  end: 'clock' | 'eye';
  critical: boolean;
  /** Makes a timing, gap or temperature finding on this step a caution instead of the rule's own weight. */
  offence?: 'caution';
  /** Seconds that hands are busy at the start and at the end. */
  handsOn: { start: number; end: number };
  temperature?: Temperature;
  agitation?: string;
  /** Number of dips when the time is counted by them. */
  dips?: number;
  /** What of the reagent each run takes from the container; absent where a bath or a dish is filled once. */
  takes?: StepTake;
  /** May be left out without a finding. */
  optional?: true;
  note?: string;
  /** Keys of sources.yaml. */
  sources: string[];
}

/** An amount that a step uses up. */
export interface StepTake {
  amount: number;
  /** UCUM code of a volume, a mass or a count. */
  unit: string;
  per: 'slide' | 'run';
  status: FigureStatus;
}

export interface Concentration {
  /** As the bench says it, for instance '0.9 % NaCl'. */
  text: string;
  value?: number;
  /** UCUM code of value. */
  unit?: string;
  status: FigureStatus;
}

export interface StepTime {
  /** Absent on handling steps, which are never too short. */
  min?: number;
  target: number;
  max?: number;
  unit: TimeUnit;
  /** Standing of the target. */
  status: FigureStatus;
  /** Standing of min and max. */
  window: FigureStatus;
}

export interface Gap {
  max: number;
  unit: TimeUnit;
  status: FigureStatus;
  why: string;
}

export interface Temperature {
  target: number;
  min?: number;
  max?: number;
  /** UCUM code of a temperature. */
  unit: string;
  status: FigureStatus;
  /** True when a reading belongs to the step's record. */
  record?: true;
}

export interface ReleasePoint {
  id: string;
  title: string;
  /** What leaves here. */
  of: 'specimen' | 'slide';
  /** The step that must be over; later ones need not be. */
  after: string;
}

export const CONTROL_KINDS = [
  'positive',
  'negative',
  'autofluorescence',
  'negative reagent',
  'instrument',
  'internal',
] as const;
export type ControlKind = (typeof CONTROL_KINDS)[number];

export const CONTROL_TIMES = [
  'each use',
  'each group of slides',
  'each day of use',
  'each week of use',
  'each month of use',
] as const;

export interface ControlRequirement {
  /** Unique within the protocol. */
  id: string;
  kind: ControlKind;
  material: string;
  expected: string;
  when: (typeof CONTROL_TIMES)[number];
  /** False for what the trade advises and no rule asks. */
  required: boolean;
  status: FigureStatus;
  sources: string[];
}

export interface Caution {
  agent: string;
  /** GHS hazard codes, such as H350. */
  codes: string[];
  signal: 'Danger' | 'Warning' | 'none';
  advice?: string;
  source: string;
}

export interface ChangeRule {
  text: string;
  maxSlides?: number;
  maxDays?: number;
  maxPatientsPerAliquot?: number;
  filter?: string;
  status: FigureStatus;
}

export interface CytologyRule {
  /** A Papanicolaou or modified Papanicolaou method, which gynaecological slides need (42 CFR 493.1274(b)(1)). */
  papanicolaou?: true;
  /** The measure that keeps gynaecological and other specimens from contaminating each other in one run (493.1274(b)(2)). */
  separation?: string;
}

export interface Fitness {
  use: string;
  /** The piece that was stained is spent for it. */
  unfit?: true;
  statement: string;
  sources: string[];
}

/** A reagent of the catalogue: what the thing is, not a batch of it. */
export interface Reagent {
  /** Lower-case words joined by hyphens; steps name it. */
  code: string;
  name: string;
  /** 'water' and 'none' kinds come from the tap or need no bottle and are not scanned. */
  kind: 'dye' | 'solvent' | 'buffer' | 'fixative' | 'antibody' | 'detection' | 'mountant' | 'solution' | 'water';
  /** Other codes that may stand in for it, such as a xylene substitute. */
  acceptedInstead?: string[];
  cautions?: Caution[];
  /** ISO 8601 duration of use after opening, when the laboratory has set one. */
  openedLife?: string;
  /** UCUM unit in which the ledger counts it, such as mL, g or {piece}; mL when absent. */
  unit?: string;
  /** How it is kept: degrees Celsius, and whether in the dark. */
  storage?: StorageNeed & { status: FigureStatus };
  /** How it behaves beside others in storage; 'general' when absent. */
  storageClasses?: StorageClass[];
  /** What needs rules of its own. */
  special?: SpecialReagent;
  /** ISO 8601 duration between looks at the water over picric acid; half a year when absent. */
  waterCheckEvery?: string;
}

/** Reagents that can explode when they are kept wrongly. */
export const SPECIAL_REAGENTS = ['picric acid', 'ammoniacal silver'] as const;
export type SpecialReagent = (typeof SPECIAL_REAGENTS)[number];
