import type { Protocol, Step } from '../protocol/protocol.js';
import type { RunEvent } from '../run/events.js';
import type { Instant } from '../time/instant.js';

/** What of a run was let out, and when. */
export interface LetOut {
  subjectId: string;
  /** Id of the release point. */
  point: string;
  /** When it was signed. */
  at: Instant;
}

/** The steps that a release at a point rests on: all up to the one that the point follows. */
export function stepsUpTo({ steps, releasePoints }: Protocol, point: string): Step[] {
  const after = releasePoints.find(({ id }) => id === point)?.after;
  return steps.slice(0, steps.findIndex(({ id }) => id === after) + 1);
}

/**
 * Whether an event that was recorded after a release may change what the gate found for it: a step or scan that it rests
 * on told or corrected afterwards, a control read again, its own specimen spoiled. Not so a step after its point, a scan
 * of a later time, or what can only mend, such as an identity confirmed. `events` are those of the run.
 */
export function bearsOn(event: RunEvent, events: readonly RunEvent[], protocol: Protocol, letOut: LetOut): boolean {
  const meant = correctedBy(event, events);
  if (!meant) return false;
  const steps = stepsUpTo(protocol, letOut.point);
  const rests = (id: string): boolean => steps.some((step) => step.id === id);
  const corrected = meant !== event;
  switch (meant.kind) {
    case 'step-started':
    case 'step-ended':
    case 'temperature-read':
      return rests(meant.data.step);
    case 'tray-scanned': {
      const { step, reagent } = meant.data;
      if (!(step === undefined ? steps.some((each) => each.reagent === reagent) : rests(step))) return false;
      return corrected || meant.stamp.late || meant.stamp.at <= letOut.at;
    }
    case 'subject-spoiled':
      return meant.data.subject === letOut.subjectId;
    case 'identity-confirmed':
    case 'attested':
      return corrected && meant.data.subject === letOut.subjectId;
    case 'acknowledged':
    case 'supervised':
      return corrected;
    case 'resolved':
      return corrected || !meant.data.conforms;
    case 'control-read':
    case 'abandoned':
      return true;
    default:
      return false;
  }
}

/** The event that a correction is about in the end; the event itself when it corrects none. */
function correctedBy(event: RunEvent, events: readonly RunEvent[]): RunEvent | undefined {
  if (event.kind !== 'corrected') return event;
  const meant = events.find(({ id }) => id === event.data.event);
  return meant && meant.seq < event.seq ? correctedBy(meant, events) : undefined;
}
