import type { Requirement } from './requirement.js';

/** People, instruments and comparison with others. */
export const PEOPLE = [
  {
    id: 'competence-current',
    clause: '42 CFR 493.1451(b)(8)-(9)',
    asks: 'People are assessed in six ways, twice in their first year, then at least yearly, and anew after a change of method.',
    records: 'Runs for patients, with the assessment of who began them.',
    gap: 'Who began it was not competent then, and nobody stood by as supervisor.',
    source: 'read in a copy',
    area: 'people',
    byProtocol: true,
  },
  {
    id: 'signers-authorised',
    clause: '21 CFR 11.10(g)',
    asks: 'Only those who are authorised sign.',
    records: 'Signatures, with the roles that the signer held at the time.',
    gap: 'The signer did not hold a role that may sign this.',
    source: 'read in a copy',
    area: 'people',
    byProtocol: false,
  },
  {
    id: 'instruments-checked',
    clause: '42 CFR 493.1254(a)-(b)',
    asks: 'Instruments are maintained and checked as their makers or the laboratory lay down.',
    records: 'Runs for patients at places where instruments stood.',
    gap: 'Something spoke against one of them when the run began: calibration, service, out of use.',
    source: 'from memory',
    area: 'instruments',
    byProtocol: true,
  },
  {
    id: 'rounds-followed',
    clause: 'ISO 15189:2022 7.3.7.3',
    asks: 'The laboratory takes part in external quality assessment, reviews the results and acts on them.',
    records: 'Rounds received in the period.',
    gap: 'It was not sent in by its day, or scored unsatisfactory without cause and action.',
    source: 'from memory',
    area: 'bench work',
    byProtocol: false,
  },
] as const satisfies Requirement[];
