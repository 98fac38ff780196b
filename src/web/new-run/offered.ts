import type { PlannedControl } from '../../core/controls/planned.js';
import type { Protocol } from '../../core/protocol/protocol.js';
import type { ControlPlan } from '../api.paths.js';

/** A control that a new run may carry. */
export interface OfferedControl extends Pick<PlannedControl, 'id' | 'kind' | 'material' | 'expected' | 'required'> {
  clocks: readonly Pick<PlannedControl['clocks'][number], 'when' | 'n'>[];
  /** No other run can answer for it. */
  inTheRun: boolean;
  /** The laboratory's own, which the protocol does not have. */
  own: boolean;
}

/** The controls of the plan that counts now, and what the chosen revision asks beyond it. */
export function offeredControls({ controls, use }: ControlPlan, protocol: Protocol): OfferedControl[] {
  const planned = new Set(controls.map(({ id }) => id));
  const beyond = protocol.controls
    .filter(({ id }) => !planned.has(id))
    .map(({ when, ...control }) => ({ ...control, clocks: [{ when }] }));
  return [...controls, ...beyond].map((control) => ({
    ...control,
    inTheRun:
      control.required &&
      control.clocks.some(
        ({ when }) => when === 'each group of slides' || (when === 'each use' && use.counts === 'run'),
      ),
    own: !protocol.controls.some(({ id }) => id === control.id),
  }));
}
