import type { Requirement } from './requirement.js';

/** Procedures and the methods behind them. */
export const PROCEDURES = [
  {
    id: 'procedure-approved',
    clause: '42 CFR 493.1251(d)',
    asks: 'Procedures and their changes are approved, signed and dated by the laboratory director before use.',
    records: 'Runs for patients, each with the signed approval of its revision.',
    gap: 'The revision had no signed approval when the run began.',
    source: 'from memory',
    area: 'bench work',
    byProtocol: true,
  },
  {
    id: 'method-verified',
    clause: '42 CFR 493.1253(b)',
    asks: 'Before results are reported, a method is shown to perform here, or its performance is established.',
    records: 'Revisions used for patients, each with the verification record that its approval names.',
    gap: 'The approval names no verification record.',
    source: 'read in a copy',
    area: 'bench work',
    byProtocol: true,
  },
  {
    id: 'performer-recorded',
    clause: '42 CFR 493.1283(a)(4)',
    asks: 'The records say when testing was done and who did it.',
    records: 'Runs for patients with their steps, each by a person and at a time.',
    gap: 'No step of the run was recorded.',
    source: 'read in a copy',
    area: 'bench work',
    byProtocol: true,
  },
  {
    id: 'identity-kept',
    clause: '42 CFR 493.1283(a)(1)',
    asks: 'Each specimen is positively identified.',
    records: 'Specimens and slides in runs for patients, with the confirmation of two identifiers or an attestation.',
    gap: 'Nobody vouched for its identity in the run.',
    source: 'read in a copy',
    area: 'bench work',
    byProtocol: true,
  },
] as const satisfies Requirement[];
