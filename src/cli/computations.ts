import { computeLimits, computeMultirule } from '../core/controls/case.js';
import { computeSchedule } from '../core/controls/schedule-case.js';
import { computeGs1 } from '../core/gs1/case.js';
import { computeExpiry } from '../core/lot/case.js';
import { computePlan } from '../core/plan/case.js';
import { computeRecipe } from '../core/recipe/case.js';
import { computeFefo, computeForecast, computeReorder } from '../core/stock/case.js';
import { computeStainimage } from '../core/stain-image/case.js';
import { computeAgreement, computeLotcompare, computeSamplesize } from '../core/study/case.js';
import { computeTiming } from '../core/time/case.js';
import { readPictureFile } from './picture-file.js';

/** Answers one case as parsed from JSON; throws when it cannot be computed. */
export type Computation = (input: unknown) => object | Promise<object>;

/** What `stainwright compute` answers, by name. */
export const COMPUTATIONS: Record<string, Computation> = {
  timing: computeTiming,
  expiry: computeExpiry,
  gs1: computeGs1,
  recipe: computeRecipe,
  reorder: computeReorder,
  forecast: computeForecast,
  fefo: computeFefo,
  multirule: computeMultirule,
  limits: computeLimits,
  agreement: computeAgreement,
  lotcompare: computeLotcompare,
  samplesize: computeSamplesize,
  stainimage: (input) => computeStainimage(input, readPictureFile),
  plan: computePlan,
  schedule: computeSchedule,
};
