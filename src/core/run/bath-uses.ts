import type { Instant } from '../time/instant.js';
import { containersFor, type RunState } from './state.js';

/** A container through which a run's slides went at a step. */
export interface StepUse {
  container: string;
  /** Id of the step and which performance of it, counted from 1: 'haematoxylin 1'. */
  step: string;
  at: Instant;
}

/**
 * Which containers the slides of a run went through, at which step and when: each that stood for the step at its start,
 * and each that took its place before its end. Of a running step the end is not known yet, so what comes later counts.
 */
export function stepUses(state: RunState): StepUse[] {
  return state.steps.flatMap(({ step, performances }) => {
    if (!step.reagent) return [];
    return performances.flatMap(({ started, ended }, n) =>
      containersFor(state.tray, step, started.stamp.at, ended?.stamp.at ?? '9999').map(({ place, from }) => ({
        container: place.container,
        step: `${step.id} ${n + 1}`,
        at: from,
      })),
    );
  });
}
