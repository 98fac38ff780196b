import { type Rule } from './rule.js';

/** Rules about the run as a whole and its subjects. */
export const RUN_RULES = {
  'point-not-reached': {
    title: 'Release point not reached',
    weight: 'stop',
    mend: 'Finish the step that the release point waits for.',
    source: '21 CFR 11.10(f): permitted order of steps',
    serves: ['P11-06'],
    excusable: false,
  },
  'run-abandoned': {
    title: 'Run abandoned',
    weight: 'stop',
    mend: 'Stain again in a new run.',
    source: 'local procedure',
    serves: ['LOCAL'],
    excusable: false,
  },
  'not-for-patients': {
    title: 'Run not meant for patients',
    weight: 'stop',
    mend: 'Stain the specimen in a run for patients.',
    source: 'ISO 15189:2022 6.6.3',
    serves: ['ISO-11'],
    excusable: false,
  },
  'revision-not-in-force': {
    title: 'Protocol revision not in force',
    weight: 'stop',
    mend: 'Run a revision that the director approved and whose effective date has come.',
    source: '42 CFR 493.1251(d): approved by the director before use',
    serves: ['CLIA-13'],
    excusable: true,
  },
  'identity-unconfirmed': {
    title: 'Identity not confirmed',
    weight: 'stop',
    mend: 'Check two identifiers of the specimen and confirm them in the run.',
    source: '42 CFR 493.1283(a)(1): positive identification',
    serves: ['CLIA-48', 'CLIA-50'],
    excusable: false,
  },
  'identity-attested': {
    title: 'Identity by attestation',
    weight: 'note',
    mend: 'Nothing to mend; it stands beside the result as a mark.',
    source: '42 CFR 493.1283(a)(1), ISO 15189:2022 7.2.6.1: an irreplaceable specimen, by its collector’s word',
    serves: ['CLIA-48', 'ISO-17'],
    excusable: true,
  },
  'subject-spoiled': {
    title: 'Specimen or slide spoiled',
    weight: 'stop',
    mend: 'Stain another slide or piece of the same specimen.',
    source: 'local procedure',
    serves: ['LOCAL'],
    excusable: true,
  },
  'entered-late': {
    title: 'Entered afterwards',
    weight: 'note',
    mend: 'Nothing to mend; it stays visible.',
    source: 'ISO 15189:2022 8.4.1: records made at the time',
    serves: ['ISO-34'],
    excusable: true,
  },
} as const satisfies Record<string, Rule>;
