import { confirmFigures, openProposals } from '../../src/core/protocol/figures.js';
import { contentHash } from '../../src/core/protocol/content.js';
import type { Protocol } from '../../src/core/protocol/protocol.js';
import type { BenchStamp } from '../../src/core/run/events.js';
import { makeLabel } from '../../src/core/gs1/label.js';
import { plusMs } from '../../src/core/time/instant.js';
import { CompetenceRow } from '../../src/store/rows/competence.entity.js';
import { PersonRow } from '../../src/store/rows/people.entity.js';
import { RevisionActRow, RevisionRow } from '../../src/store/rows/protocols.entity.js';
import { SubjectRow } from '../../src/store/rows/specimens.entity.js';
import { ContainerActRow, ContainerRow, LotActRow, LotRow } from '../../src/store/rows/stock.entity.js';
import type { Unit } from '../../src/store/unit.js';
import { shipped } from './bedside.js';
import { type Client, LABORATORY, START, type TestApp } from './app.js';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

const PROGRAM = { laboratoryId: LABORATORY, personId: null, deviceId: null };

/** What stands ready for a bedside acridine orange run. */
export interface Furnished {
  protocol: Protocol;
  revisionId: string;
  /** Container ids by reagent code. */
  containers: Record<string, string>;
  core: string;
  /** Control materials' subject ids by requirement. */
  controls: Record<string, string>;
}

/**
 * An approved ao-fresh, a container of an accepted lot opened two hours before `now` for each of its reagents, a core and
 * control materials. `settings` changes the draft before its figures are confirmed, as a laboratory would.
 */
export async function furnish(
  test: Pick<TestApp, 'store'>,
  {
    now = START,
    settings = (draft: Protocol) => draft,
  }: { now?: string; settings?: (draft: Protocol) => Protocol } = {},
): Promise<Furnished> {
  const draft = settings(shipped('ao-fresh'));
  const protocol = confirmFigures(draft, openProposals(draft));
  return test.store.change(PROGRAM, 'laboratory.furnished', async (unit) => {
    const revisionId = await approvedRevision(unit, protocol, plusMs(now, -DAY_MS));
    const containers: Record<string, string> = {};
    for (const code of new Set(protocol.steps.flatMap(({ reagent }) => reagent ?? []))) {
      containers[code] = await openedContainer(unit, code, now, Object.keys(containers).length + 1);
    }
    const core = await subject(unit, 'specimen', 'core, neck lymph node, left', 'QY-101');
    const controls: Record<string, string> = {};
    for (const { id, required, material } of protocol.controls) {
      if (required)
        controls[id] = await subject(
          unit,
          'control',
          material.slice(0, 80),
          `QY-20${Object.keys(controls).length + 1}`,
        );
    }
    unit.about('laboratory', LABORATORY);
    return { protocol, revisionId, containers, core, controls };
  });
}

async function approvedRevision(unit: Unit, content: Protocol, effectiveFrom: string): Promise<string> {
  const { id } = await unit.insert(RevisionRow, {
    protocolId: content.id,
    number: 100,
    title: content.title,
    content,
    contentHash: contentHash(content),
    basedOn: null,
  });
  await unit.insert(RevisionActRow, { revisionId: id, kind: 'drafted', at: effectiveFrom, personId: null, data: {} });
  await unit.insert(RevisionActRow, {
    revisionId: id,
    kind: 'approved',
    at: effectiveFrom,
    personId: null,
    data: { effectiveFrom },
  });
  return id;
}

async function openedContainer(unit: Unit, reagentCode: string, now: string, n: number): Promise<string> {
  const lot = await unit.insert(LotRow, {
    reagentCode,
    number: `QUILL-${reagentCode}`,
    gtin: null,
    origin: 'supplied',
    source: 'Tidewater Reagents (invented)',
    receivedAt: plusMs(now, -5 * DAY_MS),
    expiry: plusMs(now, 200 * DAY_MS).slice(0, 10),
    openedLife: 'P30D',
    limits: [{ by: 'expiry', until: plusMs(now, 200 * DAY_MS) }],
    strength: null,
    storage: null,
  });
  await unit.insert(LotActRow, {
    lotId: lot.id,
    at: plusMs(now, -4 * DAY_MS),
    personId: null,
    standing: 'accepted',
    reason: 'checked',
  });
  const { id } = await unit.insert(ContainerRow, {
    lotId: lot.id,
    label: makeLabel('C', `QY-00${n}`),
    serial: null,
    size: '100 mL',
  });
  await unit.insert(ContainerActRow, {
    containerId: id,
    at: plusMs(now, -2 * HOUR_MS),
    personId: null,
    state: 'opened',
    until: plusMs(now, 30 * DAY_MS),
    reason: null,
  });
  return id;
}

async function subject(unit: Unit, kind: SubjectRow['kind'], description: string, name: string): Promise<string> {
  const label = makeLabel('S', name);
  const row = await unit.insert(SubjectRow, {
    kind,
    label,
    parentId: null,
    description,
    takenAt: null,
    irreplaceable: kind === 'specimen',
  });
  return row.id;
}

/** Says of everybody who is here that they are competent in a protocol. */
export async function assessEverybody({ store }: Pick<TestApp, 'store'>, protocolId: string): Promise<void> {
  await store.change(PROGRAM, 'competence.decided', async (unit) => {
    for (const { id } of await unit.all(PersonRow)) {
      if (await unit.one(CompetenceRow, { personId: id, protocolId })) continue;
      const at = plusMs(unit.at, -30 * DAY_MS);
      await unit.insert(CompetenceRow, {
        personId: id,
        protocolId,
        decision: 'competent',
        at,
        revision: 1000,
        elements: [],
        reason: 'furnished',
        signature: { personId: id, name: 'furnished', at, meaning: 'approval', recordHash: '' },
      });
      unit.about('person', id);
    }
  });
}

/** Does a run over HTTP as a bench page would, with the hand-moved clock as the bench's. */
export class Bench {
  private keys = 0;

  constructor(
    readonly test: TestApp,
    readonly technician: Client,
    readonly furnished: Furnished,
    private readonly device = 'station-1',
  ) {}

  stamp(changes: Partial<BenchStamp> = {}): BenchStamp {
    const at = this.test.clock.now();
    return {
      device: this.device,
      clockSession: `${this.device}-morning`,
      monotonicMs: Date.parse(at) - Date.parse('2026-11-25T00:00:00.000Z'),
      at,
      uncertaintyMs: 20,
      offsetMs: 0,
      roundTripMs: 40,
      late: false,
      ...changes,
    };
  }

  async start(
    subjects = [
      { subjectId: this.furnished.core, role: 'patient' } as { subjectId: string; role: string; control?: string },
    ],
  ): Promise<string> {
    const { protocol } = this.furnished;
    await assessEverybody(this.test, protocol.id);
    return this.startUnassessed(subjects);
  }

  /** Starts a run whoever is competent in its protocol. */
  async startUnassessed(
    subjects = [
      { subjectId: this.furnished.core, role: 'patient' } as { subjectId: string; role: string; control?: string },
    ],
  ): Promise<string> {
    const { revisionId, controls } = this.furnished;
    const answer = await this.technician.post<{ id: string }>('/api/runs', {
      revisionId,
      station: 'Ultrasound 1',
      purpose: 'patients',
      subjects: [
        ...subjects,
        ...Object.entries(controls).map(([control, subjectId]) => ({ subjectId, role: 'control', control })),
      ],
    });
    if (answer.status !== 201) throw new Error(JSON.stringify(answer.body));
    return answer.body.id;
  }

  event(runId: string, kind: string, data: object, extra: { key?: string; stamp?: Partial<BenchStamp> } = {}) {
    this.keys += 1;
    return this.technician.post<{ event: { id: string; seq: number }; unusable: { code: string; message: string }[] }>(
      `/api/runs/${runId}/events`,
      { kind, data, stamp: this.stamp(extra.stamp) },
      { headers: { 'idempotency-key': extra.key ?? `${this.device}-${this.keys}` } },
    );
  }

  async must(runId: string, kind: string, data: object): Promise<void> {
    const { status, body } = await this.event(runId, kind, data);
    if (status !== 201) throw new Error(`${kind} answered ${status}: ${JSON.stringify(body)}`);
  }

  /** Identity, tray, every step at its target but where told otherwise, and the controls. */
  async play(
    runId: string,
    seconds: Record<string, number> = {},
    failing: string[] = [],
    identity = true,
  ): Promise<void> {
    const { protocol, containers, core, controls } = this.furnished;
    if (identity) await this.must(runId, 'identity-confirmed', { subject: core });
    for (const [reagent, container] of Object.entries(containers))
      await this.must(runId, 'tray-scanned', { reagent, container });
    for (const { id, time } of protocol.steps) {
      this.test.clock.forward(2000);
      await this.must(runId, 'step-started', { step: id });
      this.test.clock.forward((seconds[id] ?? time.target) * 1000);
      await this.must(runId, 'step-ended', { step: id });
    }
    for (const [control, subjectId] of Object.entries(controls)) {
      const passed = !failing.includes(control);
      await this.must(runId, 'control-read', {
        control: subjectId,
        observed: passed ? 'as expected' : 'nuclear pattern',
        passed,
      });
    }
  }
}
