import { readFileSync } from 'node:fs';
import { parse } from 'yaml';
import { publishedPlan } from '../../src/core/controls/plan.js';
import type { GateSubject, RunFacts } from '../../src/core/gate/facts.js';
import { NO_POLICY } from '../../src/core/gate/policy.js';
import type { ContainerFacts } from '../../src/core/lot/facts.js';
import type { Protocol, Reagent } from '../../src/core/protocol/protocol.js';
import type { BenchStamp, RunEvent, RunEventData, RunEventKind } from '../../src/core/run/events.js';
import { plusMs } from '../../src/core/time/instant.js';

export const START = '2026-11-25T09:00:00.000Z';

/** A shipped protocol, as parsed; its strict loading is tested elsewhere. */
export function shipped(id: string): Protocol {
  return parse(readFileSync(`protocols/${id}.yaml`, 'utf8')) as Protocol;
}

export function shippedReagents(): Reagent[] {
  return (parse(readFileSync('protocols/catalogue.yaml', 'utf8')) as { reagents: Reagent[] }).reagents;
}

/** A container in date, opened this morning, of an accepted lot. */
export function container(reagent: string, changes: Partial<ContainerFacts> = {}): ContainerFacts {
  return {
    id: `c-${reagent}`,
    label: `SW1:C:${reagent}`,
    reagent,
    lot: {
      id: `l-${reagent}`,
      number: `QUILL-${reagent}`,
      standing: [{ at: '2026-11-20T08:00:00.000Z', standing: 'accepted', seq: 1 }],
    },
    states: [{ at: '2026-11-25T07:00:00.000Z', state: 'opened' }],
    limits: [{ by: 'expiry', until: '2027-01-01T00:00:00.000Z' }],
    ...changes,
  };
}

/** Writes a run down as a bench would: one device, one clock session, 20 ms of uncertainty. */
export class Scribe {
  readonly events: RunEvent[] = [];
  private ms = 0;

  constructor(readonly protocol: Protocol) {}

  wait(seconds: number): this {
    this.ms += seconds * 1000;
    return this;
  }

  stamp(changes: Partial<BenchStamp> = {}): BenchStamp {
    return {
      device: 'station-1',
      clockSession: 'morning',
      monotonicMs: 1000 + this.ms,
      at: plusMs(START, this.ms),
      uncertaintyMs: 20,
      offsetMs: 0,
      roundTripMs: 40,
      late: false,
      ...changes,
    };
  }

  add<K extends RunEventKind>(kind: K, data: RunEventData[K], stamp: Partial<BenchStamp> = {}): RunEvent {
    const seq = 10 + this.events.length;
    const event = {
      id: `e${seq}`,
      runId: 'r1',
      seq,
      kind,
      data,
      stamp: this.stamp(stamp),
      personId: 'tech',
      receivedAt: plusMs(START, this.ms),
    } as RunEvent;
    this.events.push(event);
    return event;
  }

  /** Puts the protocol's containers on the tray. */
  tray(reagents: readonly string[] = [...new Set(this.protocol.steps.flatMap(({ reagent }) => reagent ?? []))]): this {
    for (const reagent of reagents) this.add('tray-scanned', { reagent, container: `c-${reagent}` });
    return this;
  }

  step(id: string, seconds: number): this {
    this.add('step-started', { step: id });
    this.wait(seconds);
    const byEye = this.protocol.steps.find((step) => step.id === id)?.end === 'eye';
    this.add('step-ended', { step: id, ...(byEye ? { judgedBy: 'tech' } : {}) });
    return this;
  }

  /** Every step in order at its target, with two seconds between, except where told otherwise. */
  steps(seconds: Record<string, number> = {}): this {
    const units = { ms: 0.001, s: 1, min: 60, h: 3600, d: 86400 };
    for (const { id, time } of this.protocol.steps)
      this.step(id, seconds[id] ?? time.target * units[time.unit]).wait(2);
    return this;
  }
}

/** What nothing is known of. */
const PLAIN = {
  patient: null,
  cytology: null,
  tissueTest: null,
  tissue: { takenAt: null, fixedFrom: null, fixedUntil: null, fixative: null },
  spentBy: [],
};

/** A patient's specimen of which only what is said is known. */
export function patientSubject(id: string, changes: Partial<GateSubject> = {}): GateSubject {
  return {
    id,
    label: `SW1:S:${id}`,
    kind: 'specimen',
    irreplaceable: true,
    role: 'patient',
    control: null,
    specimenId: id,
    ...PLAIN,
    ...changes,
  };
}

/** A bedside acridine orange run as it should be, with room for what goes wrong. */
export function bedside(
  play: (scribe: Scribe) => void = (scribe) => scribe.steps(),
  changes: Partial<RunFacts> = {},
): RunFacts {
  const protocol = shipped('ao-fresh');
  const scribe = new Scribe(protocol);
  scribe.add('identity-confirmed', { subject: 'core-1' });
  scribe.tray().wait(5);
  play(scribe);
  return {
    judgedTo: 1000,
    runId: 'r1',
    purpose: 'patients',
    startedAt: START,
    revision: { number: 1, inForce: true, assessedFrom: 0 },
    protocol,
    reagents: shippedReagents(),
    subjects: [
      patientSubject('core-1', { label: 'SW1:S:1' }),
      ...(['positive', 'negative', 'autofluorescence'] as const).map((control) => ({
        id: `control-${control}`,
        label: `SW1:S:${control}`,
        kind: 'control' as const,
        irreplaceable: false,
        role: 'control' as const,
        control,
        ...PLAIN,
        specimenId: `control-${control}`,
      })),
    ],
    events: scribe.events,
    containers: [...new Set(protocol.steps.flatMap(({ reagent }) => reagent ?? []))].map((code) => container(code)),
    people: [
      {
        id: 'tech',
        name: 'Tansy Quill',
        acts: [
          {
            protocolId: 'ao-fresh',
            decision: 'competent',
            at: '2026-06-01T08:00:00.000Z',
            revision: 1,
            until: '2027-06-02T00:00:00.000Z',
          },
        ],
      },
    ],
    instruments: [],
    bathGuests: [],
    policy: NO_POLICY,
    controls: {
      plan: publishedPlan(protocol),
      revisionId: 'v1',
      station: 'Ultrasound 1',
      day: '2026-11-25',
      week: '2026-W48',
      month: '2026-11',
      patients: [],
      results: [],
      uses: [],
    },
    controlFailures: { failures: [], passes: [] },
    driftPpm: 100,
    ...changes,
  };
}

/** Reads the three controls of the bedside run, as expected unless told otherwise. */
export function readControls(scribe: Scribe, failing: string[] = []): void {
  for (const control of ['positive', 'negative', 'autofluorescence']) {
    const passed = !failing.includes(control);
    scribe.add('control-read', {
      control: `control-${control}`,
      observed: passed ? 'as expected' : 'nuclear pattern, bright',
      passed,
    });
  }
}
