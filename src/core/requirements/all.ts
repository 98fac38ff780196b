import { CONTROLS } from './controls.js';
import { PEOPLE } from './people.js';
import { PROCEDURES } from './procedures.js';
import { REAGENTS } from './reagents.js';
import type { Requirement } from './requirement.js';
import { RESULTS } from './results.js';
import { SPECIMENS } from './specimens.js';

const ALL = [...PROCEDURES, ...SPECIMENS, ...REAGENTS, ...CONTROLS, ...PEOPLE, ...RESULTS] as const;

export type RequirementId = (typeof ALL)[number]['id'];

/** Every requirement whose proof the record can show, by topic. */
export const REQUIREMENTS: readonly (Requirement & { id: RequirementId })[] = ALL;
