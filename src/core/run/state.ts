import { foldReadings, type Outcome, type Readable, type SecondReader } from '../controls/result.js';
import type { Protocol, Step } from '../protocol/protocol.js';
import type { Instant } from '../time/instant.js';
import { epochMs } from '../time/instant.js';
import type { BenchStamp, RunEvent, RunEventKind } from './events.js';

export type EventOf<K extends RunEventKind> = Extract<RunEvent, { kind: K }>;

/** A moment at the bench with the event that tells of it, corrections applied. */
export interface Mark {
  eventId: string;
  stamp: BenchStamp;
  personId: string;
}

/** One performance of a step; a step done again has several. */
export interface Performance {
  started: Mark;
  ended: (Mark & { judgedBy: string | null }) | null;
}

export interface StepState {
  step: Step;
  index: number;
  performances: Performance[];
}

/** A container on the tray: from when, for which reagent and, when told, for which step alone. */
export interface TrayPlace {
  reagent: string;
  step: string | null;
  container: string;
  mark: Mark;
}

/** Where a run stands, told by its events alone. */
export interface RunState {
  steps: StepState[];
  /** Steps that have started and not ended, in protocol order. */
  running: StepState[];
  /** The first step after the last one started that has not been done; null when none is left. */
  next: StepState | null;
  /** In order of time. */
  tray: TrayPlace[];
  abandoned: { at: Instant; reason: string } | null;
  cleared: boolean;
  events: RunEvent[];
}

/**
 * The events as they stand after corrections: withdrawn ones left out, corrected times put in their place as late ones.
 * Corrections themselves are left out. Of several corrections of one event the last recorded counts.
 */
export function effectiveEvents(events: readonly RunEvent[]): RunEvent[] {
  const corrections = new Map<string, EventOf<'corrected'>>();
  const inOrder = bySeq(events);
  for (const event of inOrder) {
    if (event.kind === 'corrected') corrections.set(event.data.event, event);
  }
  if (corrections.size === 0) return inOrder;
  return inOrder.flatMap((event): RunEvent[] => {
    if (event.kind === 'corrected') return [];
    const correction = corrections.get(event.id);
    if (!correction) return [event];
    const { withdrawn, at, uncertaintyMs } = correction.data;
    if (withdrawn) return [];
    if (at === undefined) return [event];
    // A time said afterwards stands on no clock session; its uncertainty is what the person states.
    const stamp: BenchStamp = {
      ...correction.stamp,
      at,
      uncertaintyMs: uncertaintyMs ?? null,
      monotonicMs: null,
      late: true,
    };
    return [{ ...event, stamp }];
  });
}

/** The effective events of one kind. */
export function eventsOf<K extends RunEventKind>(events: readonly RunEvent[], kind: K): EventOf<K>[] {
  return events.filter((event): event is EventOf<K> => event.kind === kind);
}

/**
 * Where a run of `protocol` stands after `events`, in any order. A step's ends are matched with its starts in the order
 * of time. Events that name no step of the protocol are ignored.
 */
export function runState(protocol: Protocol, events: readonly RunEvent[]): RunState {
  const effective = effectiveEvents(events);
  const moments = stepMoments(effective);
  const steps = protocol.steps.map((step, index): StepState => ({
    step,
    index,
    performances: performancesOf(moments.get(step.id) ?? []),
  }));
  const running = steps.filter(({ performances }) => performances.at(-1)?.ended === null);
  const lastStarted = steps.findLastIndex(({ performances }) => performances.length > 0);
  const abandoned = eventsOf(effective, 'abandoned').at(0);
  return {
    steps,
    running,
    next: steps.find(({ index, performances }) => index > lastStarted && performances.length === 0) ?? null,
    tray: byTime(eventsOf(effective, 'tray-scanned')).map((event) => ({
      reagent: event.data.reagent,
      step: event.data.step ?? null,
      container: event.data.container,
      mark: markOf(event),
    })),
    abandoned: abandoned ? { at: abandoned.stamp.at, reason: abandoned.data.reason } : null,
    cleared: eventsOf(effective, 'cleared').length > 0,
    events: effective,
  };
}

/**
 * The containers that served `step` from `from` to `until`: the one that stood there at the start, and each that took its
 * place before the end. A container scanned for the step alone goes before one scanned for its reagent.
 */
export function containersFor(
  tray: readonly TrayPlace[],
  step: Step,
  from: Instant,
  until: Instant,
): { place: TrayPlace; from: Instant; until: Instant }[] {
  const own = tray.filter((place) => place.step === step.id);
  const places = own.length > 0 ? own : tray.filter((place) => place.step === null && place.reagent === step.reagent);
  const standing = places.filter(({ mark }) => mark.stamp.at <= from).at(-1);
  const later = places.filter(({ mark }) => mark.stamp.at > from && mark.stamp.at < until);
  const inOrder = standing ? [standing, ...later] : later;
  return inOrder.map((place, n) => ({
    place,
    from: place === standing ? from : place.mark.stamp.at,
    until: inOrder[n + 1]?.mark.stamp.at ?? until,
  }));
}

/** A control's reading as it stands: `data.passed` tells what a second reader and an agreement made of it. */
export type ReadControl = EventOf<'control-read'> & { second: SecondReader };

/** What the readings of each control make, the latest first reading counting, by the run subject that is the control. */
export function controlReadings(events: readonly RunEvent[]): Map<string, ReadControl> {
  const outcomes = controlOutcomes(events);
  return new Map(
    outcomes.map(({ event, passed, second }) => [
      event.data.control,
      { ...event, data: { ...event.data, passed }, second },
    ]),
  );
}

/** Every reading of the controls, a second reader's with the first one's. */
export function controlOutcomes(events: readonly RunEvent[]): Outcome<Readable & { event: EventOf<'control-read'> }>[] {
  return foldReadings(
    eventsOf(events, 'control-read').map((event) => {
      const { passed, reading = 'first' } = event.data;
      return { event, seq: event.seq, reading, passed, personId: event.personId };
    }),
    ({ event }) => event.data.control,
  );
}

/** Ids of the containers that were put on a run's tray. */
export function trayContainers(events: readonly RunEvent[]): string[] {
  return [...new Set(events.flatMap((event) => (event.kind === 'tray-scanned' ? [event.data.container] : [])))];
}

type StepMoment = EventOf<'step-started'> | EventOf<'step-ended'>;

/** Starts and ends by their step. */
function stepMoments(events: readonly RunEvent[]): Map<string, StepMoment[]> {
  const found = new Map<string, StepMoment[]>();
  for (const event of events) {
    if (event.kind !== 'step-started' && event.kind !== 'step-ended') continue;
    const own = found.get(event.data.step);
    if (own) own.push(event);
    else found.set(event.data.step, [event]);
  }
  return found;
}

function performancesOf(moments: readonly StepMoment[]): Performance[] {
  const performances: Performance[] = [];
  for (const event of byTime(moments)) {
    if (event.kind === 'step-started') {
      performances.push({ started: markOf(event), ended: null });
      continue;
    }
    const open = performances.find(({ ended }) => ended === null);
    if (open) open.ended = { ...markOf(event), judgedBy: event.data.judgedBy ?? null };
  }
  return performances;
}

function markOf(event: RunEvent): Mark {
  return { eventId: event.id, stamp: event.stamp, personId: event.personId };
}

function bySeq<T extends RunEvent>(events: readonly T[]): T[] {
  return [...events].sort((a, b) => a.seq - b.seq);
}

/** By the instant; within one clock session by its monotonic reading, which no clock change can turn around. */
function byTime<T extends RunEvent>(events: readonly T[]): T[] {
  return [...events].sort((a, b) => {
    const [one, two] = [a.stamp, b.stamp];
    if (
      one.clockSession !== undefined &&
      one.clockSession === two.clockSession &&
      one.monotonicMs != null &&
      two.monotonicMs != null
    ) {
      return one.monotonicMs - two.monotonicMs || a.seq - b.seq;
    }
    return epochMs(one.at) - epochMs(two.at) || a.seq - b.seq;
  });
}
