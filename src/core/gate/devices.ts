import { devicesHolding } from '../run/devices.js';
import { eventsOf, type RunState } from '../run/state.js';
import type { RunFacts } from './facts.js';
import type { Finding } from './finding.js';
import { finding } from './make-finding.js';

/**
 * What devices may still hold of a run once the step `last` is over: each holds it until its events arrive or two people
 * declare it lost, which stays beside the result.
 */
export function deviceFindings({ events }: RunFacts, state: RunState, last: number): Finding[] {
  const ended = state.steps[last]?.performances.findLast((each) => each.ended)?.ended;
  const reached = events.find(({ id }) => id === ended?.eventId);
  if (!reached) return [];
  return [
    ...devicesHolding(events, reached).map(({ device, last: { stamp } }) =>
      finding('device-unsent', {
        about: device,
        at: stamp.at,
        what: `${device} may still hold entries of this run; the last that came from it is of ${stamp.at}.`,
        measured: stamp.unsent ? `${stamp.unsent} more when it sent that` : 'nothing since',
      }),
    ),
    ...eventsOf(state.events, 'device-lost').map(({ data: { device, reason, signatures }, stamp }) =>
      finding('device-lost', {
        about: device,
        at: stamp.at,
        what: `${device} was declared lost by ${signatures.map(({ name }) => name).join(' and ')}: ${reason}`,
      }),
    ),
  ];
}
