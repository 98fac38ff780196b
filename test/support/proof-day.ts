import type { HandClock } from '../../src/clock.js';
import { contentHash } from '../../src/core/protocol/content.js';
import type { Protocol } from '../../src/core/protocol/protocol.js';
import type { RequirementId } from '../../src/core/requirements/all.js';
import type { RunEventKind } from '../../src/core/run/events.js';
import { type Instant, plusMs } from '../../src/core/time/instant.js';
import type { RuleCode } from '../../src/core/gate/rules.js';
import { CompetenceRow } from '../../src/store/rows/competence.entity.js';
import { ControlResultRow, FailureActRow } from '../../src/store/rows/control-results.entity.js';
import { DeviationActRow, DeviationRow } from '../../src/store/rows/deviations.entity.js';
import { InstrumentActRow, InstrumentRow } from '../../src/store/rows/instruments.entity.js';
import { LookbackCloseRow, LookbackRow, TrayUseRow } from '../../src/store/rows/lookback.entity.js';
import { PersonRow } from '../../src/store/rows/people.entity.js';
import { ExcursionEndRow, ExcursionRow, PlaceRow, TemperatureRow } from '../../src/store/rows/places.entity.js';
import { RevisionActRow, RevisionRow } from '../../src/store/rows/protocols.entity.js';
import { GatePolicyRow } from '../../src/store/rows/policies.entity.js';
import { ReleaseWithdrawalRow } from '../../src/store/rows/releases.entity.js';
import { RoundActRow, RoundRow } from '../../src/store/rows/rounds.entity.js';
import { ReleaseRow, RunEventRow, RunRow, RunSubjectRow } from '../../src/store/rows/runs.entity.js';
import { SubjectRow } from '../../src/store/rows/specimens.entity.js';
import * as stock from '../../src/store/rows/stock.entity.js';
import type { Store } from '../../src/store/store.js';
import type { Unit } from '../../src/store/unit.js';
import { LABORATORY } from './app.js';
import { shipped, shippedReagents } from './bedside.js';

const PROGRAM = { laboratoryId: LABORATORY, personId: null, deviceId: null };
const STATION = 'Long bench';
const FAR = '2030-01-01T00:00:00.000Z';

/** A fluorescent, a routine and a special stain, each with a reagent that stains. */
const STAINS = [
  ['ao-fresh', 'acridine-orange-working'],
  ['he-harris-regressive', 'harris-haematoxylin'],
  ['pas', 'schiff-reagent'],
] as const;

/** The people: a director who releases, a technician who reads controls, one who reads none, one whom nobody assessed. */
const ROLES = {
  isolde: ['director', 'releaser'],
  tansy: ['technician'],
  pell: ['technician'],
  odd: ['technician'],
} as const;

/** What the specimen of each run is. */
const PIECES: Record<string, Partial<SubjectRow>> = {
  'ao-fresh': { cytology: 'non-gynaecological, contaminating' },
  'he-harris-regressive': { cytology: 'gynaecological' },
  pas: { tissueTest: 'breast receptors' },
};

/** What the gate finds where a specimen was handled wrongly. */
const FOUND: Partial<Record<RequirementId, RuleCode>> = {
  'gyn-papanicolaou': 'gyn-not-papanicolaou',
  'gyn-apart': 'gyn-beside-other',
  'contaminating-apart': 'stain-not-renewed',
  'ischaemia-kept': 'cold-ischaemia-long',
  'fixation-kept': 'fixation-short',
};

const PROTOCOLS = new Map(STAINS.map(([id]) => [id as string, shipped(id)]));

function protocolOf(id: string): Protocol {
  return PROTOCOLS.get(id) as Protocol;
}

/** People, and the reagents of the catalogue. */
export async function furnishProofs(store: Store): Promise<void> {
  for (const [login, roles] of Object.entries(ROLES)) {
    await store.change(PROGRAM, 'person.added', async (unit) => {
      const account = { passwordHash: '', disabled: false, failures: 0, lockedUntil: null, createdAt: unit.at };
      await unit.add(PersonRow, { id: login, login, name: `Invented ${login}`, roles: [...roles], ...account });
      for (const [protocolId] of login === 'odd' ? [] : STAINS) {
        const signature = {
          personId: 'isolde',
          name: 'Isolde',
          at: unit.at,
          meaning: 'approval' as const,
          recordHash: '',
        };
        const decided = {
          decision: 'competent' as const,
          at: unit.at,
          revision: 99_999_999,
          elements: [],
          reason: 'seen',
        };
        await unit.insert(CompetenceRow, { personId: login, protocolId, signature, ...decided });
      }
      unit.about('person', login, { roles });
    });
  }
  await store.change(PROGRAM, 'catalogue.loaded', async (unit) => {
    for (const content of shippedReagents()) await unit.insert(stock.ReagentRow, { code: content.code, content });
    unit.about('catalogue', 'shipped');
  });
}

/** One whole working day, with one thing left out or done wrongly when a requirement is named. */
export class ProofDay {
  private lots = 0;

  constructor(
    private readonly store: Store,
    private readonly clock: HandClock,
    readonly day: string,
    private readonly spoilt: RequirementId | null,
  ) {}

  async happen(): Promise<void> {
    const runs = await this.act(12, async (unit) => {
      await this.storage(unit);
      await this.round(unit);
      await this.lookback(unit);
      await this.instrument(unit);
      await this.failure(unit);
      await this.deviation(unit);
      await this.policy(unit);
      const begun: Begun[] = [];
      for (const [protocolId, reagent] of STAINS) begun.push(await this.run(unit, protocolId, reagent));
      return begun;
    });
    const noted = await this.act(13, (unit) =>
      each(runs, ({ runId }) => this.event(unit, runId, 'noted', { text: 'x' })),
    );
    await this.act(14, (unit) =>
      each(runs, async (run, n) => {
        const event = this.is('amendments-told') ? 'nothing' : noted[n];
        await this.event(unit, run.runId, 'corrected', { event, at: this.at(11), reason: 'wrong key' });
        await this.controls(unit, run);
      }),
    );
    const released = await this.act(15, (unit) =>
      each(runs, ({ runId, subjectId }) => unit.insert(ReleaseRow, { runId, subjectId, ...this.release })),
    );
    await this.act(16, (unit) => each(released, (first) => this.amend(unit, first)));
    const kept = this.is('records-kept') ? 'gone' : (runs[0]?.runId ?? '');
    await this.act(17, () => Promise.resolve(), { kind: 'run', id: kept });
  }

  private at(hours: number): Instant {
    return plusMs(`${this.day}T00:00:00.000Z`, hours * 3_600_000);
  }

  private is(id: RequirementId): boolean {
    return this.spoilt === id;
  }

  private act<T>(hours: number, work: (unit: Unit) => Promise<T>, about = { kind: 'day', id: this.day }): Promise<T> {
    this.clock.set(this.at(hours));
    return this.store.change(PROGRAM, 'day.played', async (unit) => {
      unit.about(about.kind, about.id);
      return work(unit);
    });
  }

  private get signature() {
    const personId = this.is('signers-authorised') ? 'tansy' : 'isolde';
    const name = this.is('releases-signed') ? '' : 'Invented Signer';
    const recordHash = this.is('signatures-bound') ? 'none' : 'ab'.repeat(32);
    return { personId, name, at: this.at(12), meaning: 'approval' as const, recordHash };
  }

  private async storage(unit: Unit): Promise<void> {
    const [place, at] = ['cold', this.at(9)];
    const readings = [{ at, celsius: 5 }];
    await unit.insert(PlaceRow, { code: place, name: 'Cold store', min: 2, max: 8, dark: false, apart: false, at });
    if (!this.is('storage-watched')) {
      await unit.insert(TemperatureRow, { place, since: at, until: at, readings, how: 'by hand' });
    }
    const { id } = await unit.insert(ExcursionRow, { place, since: at, min: 2, max: 8 });
    if (!this.is('storage-acted')) await unit.insert(ExcursionEndRow, { excursionId: id, until: this.at(10) });
  }

  private async round(unit: Unit): Promise<void> {
    const about = { body: 'Invented Comparison', round: this.day, protocolId: 'pas', samples: 2 };
    const { id } = await unit.insert(RoundRow, { ...about, receivedAt: this.at(9), dueAt: this.at(20) });
    const acts = [
      ['sent', { text: 'two slides' }],
      ['scored', { score: 4, outOf: 10, satisfactory: false }],
      ['cause', { text: 'old dye' }],
      ['action', { text: 'new dye' }],
    ] as const;
    for (const [kind, data] of this.is('rounds-followed') ? acts.slice(0, 2) : acts) {
      await unit.insert(RoundActRow, { roundId: id, kind, at: this.at(10), data });
    }
  }

  private async lookback(unit: Unit): Promise<void> {
    const at = this.at(9);
    const { id } = await unit.insert(LookbackRow, { cause: 'lot recalled', causeId: this.day, at, reason: 'recalled' });
    if (this.is('lookbacks-closed')) return;
    await unit.insert(LookbackCloseRow, { lookbackId: id, at, reason: 'nothing touched', signature: this.signature });
  }

  private async instrument(unit: Unit): Promise<void> {
    const timer = { code: `TI-${this.day}`, name: 'Timer', kind: 'timer', calibrated: true } as const;
    const { id: instrumentId } = await unit.insert(InstrumentRow, timer);
    const act = { instrumentId, at: this.at(8), note: 'seen' };
    await unit.insert(InstrumentActRow, { ...act, kind: 'moved', station: STATION });
    await unit.insert(InstrumentActRow, { ...act, kind: 'serviced', passed: true, until: FAR });
    if (!this.is('instruments-checked')) {
      await unit.insert(InstrumentActRow, { ...act, kind: 'calibrated', passed: true, until: FAR });
    }
    await unit.insert(InstrumentActRow, { ...act, at: this.at(20), kind: 'moved', station: 'store' });
  }

  /** A control outside of any run failed, and its failure was closed. */
  private async failure(unit: Unit): Promise<void> {
    const read = { protocolId: 'pas', requirement: 'advised', reading: 'first', personId: 'tansy' } as const;
    const seen = { passed: false, observed: 'pale', at: this.at(10), stainedAt: this.at(9), day: this.day, lots: {} };
    const { id } = await unit.insert(ControlResultRow, { ...read, ...seen });
    const acted = { resultId: id, at: this.at(11), personId: 'isolde', text: 'old dye' };
    await unit.insert(FailureActRow, { ...acted, kind: 'cause' });
    if (!this.is('control-failures-acted')) await unit.insert(FailureActRow, { ...acted, kind: 'action' });
    if (this.is('control-failures-closed')) return;
    const closed = {
      kind: 'closed',
      at: this.at(11),
      personId: 'isolde',
      text: 'repeated',
      ended: 'repeated',
    } as const;
    await unit.insert(FailureActRow, { resultId: id, ...closed, signature: this.signature });
  }

  /** Work that did not come out as it should, and its closure. */
  private async deviation(unit: Unit): Promise<void> {
    const about = { subject: 'described', title: 'Pale slides', what: 'invented', protocolId: 'pas' } as const;
    const number = Number(this.day.replaceAll('-', ''));
    const opened = { ...about, number, at: this.at(11), personId: 'tansy', effect: 'no result affected' } as const;
    const { id: deviationId } = await unit.insert(DeviationRow, opened);
    if (this.is('deviations-followed')) return;
    const data = { text: 'once only', ended: 'no action needed', signature: this.signature } as const;
    await unit.insert(DeviationActRow, { deviationId, kind: 'closed', at: this.at(11), personId: 'isolde', data });
  }

  private async policy(unit: Unit): Promise<void> {
    const signature = { ...this.signature, ...(this.is('policies-signed') && { recordHash: 'none' }) };
    await unit.insert(GatePolicyRow, {
      ...{ number: Number(this.day.replaceAll('-', '')), content: { rules: [] }, contentHash: '', eases: [] },
      ...{ at: this.at(12), effectiveFrom: this.at(24), personId: 'isolde', reason: 'reviewed', signature },
    });
  }

  private async run(unit: Unit, protocolId: string, reagent: string): Promise<Begun> {
    const personId = this.is('competence-current') ? 'odd' : this.is('control-all-operators') ? 'pell' : 'tansy';
    const revisionId = await this.revision(unit, protocolId);
    const begun = { station: STATION, purpose: 'patients', startedAt: this.at(10), personId } as const;
    const { id: runId } = await unit.insert(RunRow, { revisionId, ...begun });
    const lots = {
      [reagent]: await this.onTray(unit, runId, reagent, 'one'),
      saline: await this.onTray(unit, runId, 'saline', this.is('kits-not-mixed') ? 'other' : 'one'),
    };
    const piece = { kind: 'specimen', label: `SW1:S:${runId}`, description: 'core', irreplaceable: true } as const;
    const { id: subjectId } = await unit.insert(SubjectRow, { ...piece, ...PIECES[protocolId] });
    await unit.insert(RunSubjectRow, { runId, subjectId, role: 'patient' });
    if (!this.is('identity-kept')) await this.event(unit, runId, 'identity-confirmed', { subject: subjectId });
    if (!this.is('performer-recorded')) await this.event(unit, runId, 'step-ended', { step: 'dye' });
    return { protocolId, revisionId, runId, subjectId, lots };
  }

  private async revision(unit: Unit, protocolId: string): Promise<string> {
    const content = protocolOf(protocolId);
    const number = Number(this.day.replaceAll('-', ''));
    const named = { protocolId, number, title: content.title, contentHash: contentHash(content) };
    const { id } = await unit.insert(RevisionRow, { ...named, content });
    const at = this.is('procedure-approved') ? this.at(22) : this.at(8);
    const verification = { reference: 'VER-1', summary: 'invented' };
    const data = { effectiveFrom: this.at(8), ...(!this.is('method-verified') && { verification }) };
    await unit.insert(RevisionActRow, {
      revisionId: id,
      kind: 'approved',
      at,
      data: { ...data, signature: this.signature },
    });
    return id;
  }

  /** A lot of a reagent, opened and put on the tray; the saline is prepared here. */
  private async onTray(unit: Unit, runId: string, reagentCode: string, kitLot: string): Promise<string> {
    this.lots += 1;
    const name = `QUILL-${this.day}-${this.lots}`;
    const prepared = reagentCode === 'saline';
    const { id: lotId } = await unit.insert(stock.LotRow, {
      ...{ reagentCode, number: name, origin: prepared ? 'prepared' : 'supplied', source: 'Tidewater (invented)' },
      ...{ receivedAt: this.at(8), expiry: '2029-12', kit: 'Invented kit', kitLot },
      limits: [{ by: 'expiry', until: this.is('nothing-expired') ? this.at(9) : FAR }],
      storage: this.is('labels-whole') ? null : '2 to 8 Cel',
    });
    const late = this.at(22);
    const accepted = this.is('lots-accepted') ? late : this.at(9);
    await unit.insert(stock.LotActRow, { lotId, at: accepted, standing: 'accepted', reason: 'checked' });
    const { id: containerId } = await unit.insert(stock.ContainerRow, { lotId, label: `SW1:C:${name}` });
    const opened = this.is('first-use-dated') ? late : this.at(9.5);
    await unit.insert(stock.ContainerActRow, { containerId, at: opened, state: 'opened' });
    if (prepared && !this.is('batches-traced')) {
      await unit.insert(stock.ComponentRow, { lotId, containerId, at: this.at(8) });
    }
    const eventId = await this.event(unit, runId, 'tray-scanned', { reagent: reagentCode, container: containerId });
    await unit.insert(TrayUseRow, { runId, containerId, reagentCode, eventId, personId: 'tansy', at: this.at(10) });
    return lotId;
  }

  private async event(unit: Unit, runId: string, kind: RunEventKind, data: object): Promise<string> {
    const clock = { device: 'd', clockSession: 's', monotonicMs: 1, offsetMs: 0, roundTripMs: 1, uncertaintyMs: 20 };
    const stamp = { ...clock, at: this.at(11), late: this.is('recorded-at-once') };
    const told = { runId, kind, data: data as never, stamp, personId: 'tansy', receivedAt: unit.at };
    return (await unit.insert(RunEventRow, told)).id;
  }

  private async controls(unit: Unit, of: Begun): Promise<void> {
    const missing = this.spoilt?.startsWith('control-each') || this.is('control-after-change');
    const when = { at: this.at(11), stainedAt: this.at(10), day: this.day };
    const seen = { observed: this.is('control-recorded') ? '' : 'as expected', personId: 'tansy' };
    for (const { id: requirement, required } of protocolOf(of.protocolId).controls) {
      if (!required || missing) continue;
      await unit.insert(ControlResultRow, { ...of, ...when, ...seen, requirement, reading: 'first', passed: true });
    }
    if (!this.is('control-before-result')) return;
    await unit.insert(ControlResultRow, {
      ...of,
      ...when,
      ...seen,
      requirement: 'own',
      reading: 'first',
      passed: false,
    });
  }

  private get release() {
    const judged = { verdict: 'clear', judgedTo: 1, rules: '1', point: 'slide', kind: 'adequacy' } as const;
    const rule = this.spoilt === null ? undefined : FOUND[this.spoilt];
    const plain = { subjectId: null, what: 'found', at: null, measured: null, against: null, mend: '', source: '' };
    const weighed = { weight: 'caution' as const, excusable: true, settled: true };
    const findings = rule === undefined ? [] : [{ id: rule, rule, ...plain, ...weighed }];
    return { findings, ...judged, signature: this.signature };
  }

  /** The release that amends another, and its withdrawal. */
  private async amend(unit: Unit, { id: amends, runId, subjectId }: ReleaseRow): Promise<void> {
    const { id } = await unit.insert(ReleaseRow, { runId, subjectId, ...this.release, amends });
    const told = this.is('corrections-kept') ? '' : 'the ward, by telephone';
    const gone = { at: unit.at, reason: 'wrong side', told, signature: this.signature };
    await unit.insert(ReleaseWithdrawalRow, { releaseId: id, ...gone });
  }
}

interface Begun {
  protocolId: string;
  revisionId: string;
  runId: string;
  subjectId: string;
  lots: Record<string, string>;
}

/** One after another, in their order. */
async function each<T, R>(things: readonly T[], work: (thing: T, n: number) => Promise<R>): Promise<R[]> {
  const done: R[] = [];
  for (const [n, thing] of things.entries()) done.push(await work(thing, n));
  return done;
}
