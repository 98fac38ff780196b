import type { Weight } from './finding.js';

/** Changes whenever a rule's meaning or weight does; a release keeps the version that judged it. */
export const RULES_VERSION = '1';

/** What a rule says, what it weighs, and which requirement it serves. */
export interface Rule {
  title: string;
  /** 'by step': stop on a critical step, note elsewhere, caution where the protocol says so. */
  weight: Weight | 'by step';
  /** What mends it, said to the person at the bench. */
  mend: string;
  /** Rule ids of the published requirements, or of this project's design. */
  source: string;
  /** False where no exception can ever let the result out. */
  excusable: boolean;
}

const MANUFACTURER = '42 CFR 493.1252(a): follow the stated procedure';
const OUT_OF_DATE = '42 CFR 493.1252(d): nothing past its expiry';
const ACCEPTED = '42 CFR 493.1256(e)(1), ISO 15189:2022 6.6.3: each lot and shipment checked before use';
const CONTROLS = '42 CFR 493.1273(a), 493.1256(f): controls accepted before release';
const GUARD_BAND = 'JCGM 106:2012, guard bands';

/** The gate's rules by code, in the order in which findings are shown. */
export const RULES = {
  'point-not-reached': {
    title: 'Release point not reached',
    weight: 'stop',
    mend: 'Finish the step that the release point waits for.',
    source: '21 CFR 11.10(f): permitted order of steps',
    excusable: false,
  },
  'run-abandoned': {
    title: 'Run abandoned',
    weight: 'stop',
    mend: 'Stain again in a new run.',
    source: 'local procedure',
    excusable: false,
  },
  'not-for-patients': {
    title: 'Run not meant for patients',
    weight: 'stop',
    mend: 'Stain the specimen in a run for patients.',
    source: 'ISO 15189:2022 6.6.3',
    excusable: false,
  },
  'revision-not-in-force': {
    title: 'Protocol revision not in force',
    weight: 'stop',
    mend: 'Run a revision that the director approved and whose effective date has come.',
    source: '42 CFR 493.1251(d): approved by the director before use',
    excusable: true,
  },
  'identity-unconfirmed': {
    title: 'Identity not confirmed',
    weight: 'stop',
    mend: 'Check two identifiers of the specimen and confirm them in the run.',
    source: '42 CFR 493.1283(a)(1): positive identification',
    excusable: false,
  },
  'subject-spoiled': {
    title: 'Specimen or slide spoiled',
    weight: 'stop',
    mend: 'Stain another slide or piece of the same specimen.',
    source: 'local procedure',
    excusable: true,
  },
  'step-missing': {
    title: 'Step left out',
    weight: 'by step',
    mend: 'Repeat the run, or enter the step late if it was done and not recorded.',
    source: MANUFACTURER,
    excusable: true,
  },
  'step-not-ended': {
    title: 'Step without an end',
    weight: 'by step',
    mend: 'Enter when the step ended, with how sure that is.',
    source: '42 CFR 493.1283(a)(4): records of testing',
    excusable: true,
  },
  'step-repeated': {
    title: 'Step done more than once',
    weight: 'by step',
    mend: 'Say in a note why it was repeated.',
    source: MANUFACTURER,
    excusable: true,
  },
  'step-order': {
    title: 'Step out of order',
    weight: 'by step',
    mend: 'Repeat the run in order, or correct the time if it was recorded wrongly.',
    source: '21 CFR 11.10(f): permitted order of steps',
    excusable: true,
  },
  'step-short': {
    title: 'Step too short',
    weight: 'by step',
    mend: 'Stain again, or correct the time if it was recorded wrongly.',
    source: MANUFACTURER,
    excusable: true,
  },
  'step-long': {
    title: 'Step too long',
    weight: 'by step',
    mend: 'Stain again, or correct the time if it was recorded wrongly.',
    source: MANUFACTURER,
    excusable: true,
  },
  'step-undecided': {
    title: 'Step time undecided',
    weight: 'by step',
    mend: 'Look at the clocks and the stain, and resolve it with a reason.',
    source: GUARD_BAND,
    excusable: true,
  },
  'gap-long': {
    title: 'Too long between steps',
    weight: 'by step',
    mend: 'Look for drying; stain again if in doubt.',
    source: MANUFACTURER,
    excusable: true,
  },
  'gap-undecided': {
    title: 'Time between steps undecided',
    weight: 'by step',
    mend: 'Look at the clocks and the stain, and resolve it with a reason.',
    source: GUARD_BAND,
    excusable: true,
  },
  'eye-not-named': {
    title: 'Nobody named who judged the end',
    weight: 'by step',
    mend: 'Enter who judged the end of the step.',
    source: '42 CFR 493.1283(a)(4): who performed it',
    excusable: true,
  },
  'temperature-missing': {
    title: 'Temperature not read',
    weight: 'by step',
    mend: 'Enter the reading if one was taken.',
    source: '42 CFR 493.1252(b): conditions recorded',
    excusable: true,
  },
  'temperature-outside': {
    title: 'Temperature outside its limits',
    weight: 'by step',
    mend: 'Stain again at the stated temperature.',
    source: '42 CFR 493.1252(b): conditions recorded',
    excusable: true,
  },
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
  'limit-undecided': {
    title: 'Validity undecided',
    weight: 'stop',
    mend: 'Find out when the container was used, and resolve it with a reason.',
    source: GUARD_BAND,
    excusable: true,
  },
  'control-missing': {
    title: 'Control missing',
    weight: 'stop',
    mend: 'Stain the control and read it.',
    source: CONTROLS,
    excusable: true,
  },
  'control-unread': {
    title: 'Control not read',
    weight: 'stop',
    mend: 'Read the control and record what was seen.',
    source: CONTROLS,
    excusable: true,
  },
  'control-failed': {
    title: 'Control failed',
    weight: 'stop',
    mend: 'Find the cause, correct it, and stain again with a control that reacts as expected.',
    source: CONTROLS,
    excusable: true,
  },
  'entered-late': {
    title: 'Entered afterwards',
    weight: 'note',
    mend: 'Nothing to mend; it stays visible.',
    source: 'ISO 15189:2022 8.4.1: records made at the time',
    excusable: true,
  },
} as const satisfies Record<string, Rule>;

export type RuleCode = keyof typeof RULES;
