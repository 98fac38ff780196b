import type { ControlPlan, NewControlPlan } from '../api.paths.js';
import { CONTROLS } from './words.js';

export type PlannedControl = ControlPlan['controls'][number];
export type PlannedClock = PlannedControl['clocks'][number];

/** 'Every 50 slides', 'Each day of use'. */
export function nameOfClock({ when, n }: { when: PlannedClock['when']; n?: number }): string {
  return n === undefined ? CONTROLS.clocks[when] : CONTROLS.clock(when.replace(' n ', ` ${n} `));
}

/** Whether a plan's clock goes beyond what the published rules ask of that control. */
export function isBeyond(published: ControlPlan, control: PlannedControl, clock: PlannedClock): boolean {
  const floor = published.controls.find(({ id }) => id === control.id);
  return !floor?.clocks.some(({ when, n }) => when === clock.when && n === clock.n);
}

/** A plan as the editor begins with it. */
export function asDraft({ use, controls }: ControlPlan): NewControlPlan {
  return structuredClone({ use, controls, note: '' });
}
