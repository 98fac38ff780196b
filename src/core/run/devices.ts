import type { RunEvent } from './events.js';
import { eventsOf } from './state.js';

/** A device that may hold events of a run, and the last that came from it. */
export interface HoldingDevice {
  device: string;
  last: RunEvent;
}

/**
 * The devices that may still hold events of a run from before `reached`, the event that reached a release point: each that
 * can keep events back, whose last word came before that or told of more, and that nobody declared lost since. `events`
 * are all events of the run in the order in which the server learnt of them.
 */
export function devicesHolding(events: readonly RunEvent[], reached: RunEvent): HoldingDevice[] {
  const last = new Map<string, RunEvent>();
  for (const event of events) {
    if (event.stamp.unsent !== undefined) last.set(event.stamp.device, event);
  }
  return [...last]
    .map(([device, event]) => ({ device, last: event }))
    .filter(({ device, last: { seq, stamp } }) => {
      const lost = eventsOf(events, 'device-lost').some((each) => each.data.device === device && each.seq > seq);
      return !lost && (seq < reached.seq || stamp.unsent !== 0);
    });
}
