import type { ControlPlan, NewControlPlan } from '../api.paths.js';
import { codeOf } from '../parts/format.js';
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

/** The draft with a code for each criterion that is new, made of what it says, by which its results are kept from then on. */
export function withCodes(draft: NewControlPlan): NewControlPlan {
  return {
    ...draft,
    controls: draft.controls.map((control) => {
      const taken = new Set(control.criteria.map(({ code }) => code));
      return { ...control, criteria: control.criteria.map((each) => (each.code === '' ? coded(each, taken) : each)) };
    }),
  };
}

type Criterion = NewControlPlan['controls'][number]['criteria'][number];

function coded(criterion: Criterion, taken: Set<string>): Criterion {
  const base = codeOf(criterion.title.slice(0, 50)) || 'criterion';
  let code = base;
  for (let n = 2; taken.has(code); n++) code = `${base}-${n}`;
  taken.add(code);
  return { ...criterion, code };
}
