import type { RequirementId } from '../../../core/requirements/all.js';
import { CONTROL_PROOFS } from './controls.js';
import { PEOPLE_PROOFS } from './people.js';
import { PROCEDURE_PROOFS } from './procedures.js';
import type { Proof } from './proof.js';
import { REAGENT_PROOFS } from './reagents.js';
import { RESULT_PROOFS } from './results.js';
import { SPECIMEN_PROOFS } from './specimens.js';

/** How the record proves each requirement. */
export const PROOFS: Readonly<Record<RequirementId, Proof>> = {
  ...PROCEDURE_PROOFS,
  ...SPECIMEN_PROOFS,
  ...REAGENT_PROOFS,
  ...CONTROL_PROOFS,
  ...PEOPLE_PROOFS,
  ...RESULT_PROOFS,
};
