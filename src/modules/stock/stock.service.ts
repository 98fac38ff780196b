import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type {
  NewContainerStateDto,
  ContainerDto,
  NewLotDecisionDto,
  LotListDto,
  LotQueryDto,
  LotDto,
  NewLotDto,
} from '../../contract/stock.dto.js';
import { whyUnusable } from '../../core/lot/facts.js';
import { checkEvidence } from '../../core/lot/evidence.js';
import type { Limit, LotEvidence } from '../../core/lot/lot.js';
import { checkStateChange, openedUntil, preparedLimits } from '../../core/lot/receive.js';
import { Refusal } from '../../core/refusal.js';
import { type Instant, readInstant } from '../../core/time/instant.js';
import { book } from '../../store/acts/book.js';
import { addContainer } from '../../store/acts/add-container.js';
import { type ReceivedLot, receiveLot } from '../../store/acts/receive-lot.js';
import { recallLot } from '../../store/acts/recall-lot.js';
import { containerFacts } from '../../store/questions/containers.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { onHandOf } from '../../store/questions/ledger.js';
import { componentsOf, knownLots, type KnownLot } from '../../store/questions/lots.js';
import { needReagent } from '../../store/questions/reagents.js';
import { FileRow } from '../../store/rows/files.entity.js';
import { RunRow } from '../../store/rows/runs.entity.js';
import { ContainerActRow, ContainerRow, LotActRow, LotRow } from '../../store/rows/stock.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import type { View } from '../../store/view.js';
import { type Acting, onceOf } from '../http/access.js';
import { containerView, lotView } from './views.js';

@Injectable()
export class StockService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  async list({ laboratoryId }: Acting, { reagent, number, take, after }: LotQueryDto): Promise<LotListDto> {
    const choice = {
      ...(reagent === undefined ? {} : { reagentCode: reagent }),
      ...(number === undefined ? {} : { number }),
    };
    const lots = await this.store.read(laboratoryId, (view) => knownLots(view, choice, { take, after }));
    const now = this.clock.now();
    return {
      items: lots.map((lot) => lotView(lot, now)),
      next: lots.length === take ? (lots.at(-1)?.row.id ?? null) : null,
    };
  }

  async lot({ laboratoryId }: Acting, id: string): Promise<LotDto> {
    return lotView(await this.store.read(laboratoryId, (view) => needLot(view, id)), this.clock.now());
  }

  /** A container by its id or by our own label on it. */
  async container({ laboratoryId }: Acting, by: { id: string } | { label: string }): Promise<ContainerDto> {
    const now = this.clock.now();
    const called = 'id' in by ? `container ${by.id}` : `container with the label ${by.label}`;
    return this.store.read(laboratoryId, async (view) => {
      const { id, lotId } = await view.need(ContainerRow, by, called);
      return containerOf(await needLot(view, lotId), id, now);
    });
  }

  /** Takes a supplied lot into stock, or a preparation made here from containers in stock. */
  async receive(acting: Acting, body: NewLotDto, key?: string): Promise<LotDto> {
    const write = async (unit: Unit): Promise<string> => {
      const { origin, ...wanted } = body;
      const lot = origin === 'supplied' ? await receiveLot(unit, suppliedPart(wanted)) : await prepare(unit, body);
      const { reagentCode: reagent, number } = lot;
      unit.about('lot', lot.id, { reagent, number, ...(body.components && { components: body.components }) });
      return lot.id;
    };
    const act = body.origin === 'supplied' ? 'lot.received' : 'lot.prepared';
    return this.lot(acting, await this.store.change(acting, act, write, onceOf(key, body)));
  }

  async decide(acting: Acting, id: string, body: NewLotDecisionDto, key?: string): Promise<LotDto> {
    const { standing, reason, evidence } = body;
    if (evidence) checkEvidence(evidence);
    const write = async (unit: Unit): Promise<null> => {
      const { row, decisions } = await needLot(unit, id);
      if ((decisions.at(-1)?.standing ?? 'quarantined') === standing) {
        throw new Refusal('conflict', 'unchanged', `Lot ${row.number} is ${standing} already.`);
      }
      if (standing === 'accepted') await refuseOpenComponents(unit, row);
      if (evidence) await refuseUnknownEvidence(unit, evidence);
      if (standing === 'recalled') await recallLot(unit, { lotId: id }, { reason });
      else {
        const { at, actor } = unit;
        const rests = evidence ? { ...evidence } : null;
        await unit.insert(LotActRow, { lotId: id, at, personId: actor.personId, standing, reason, evidence: rests });
      }
      unit.about('lot', id, { standing, ...(evidence && { evidence: { ...evidence } }) });
      return null;
    };
    await this.store.change(acting, 'lot.decided', write, onceOf(key, { id, ...body }));
    return this.lot(acting, id);
  }

  async setState(acting: Acting, id: string, body: NewContainerStateDto, key?: string): Promise<ContainerDto> {
    const { state, reason } = body;
    const write = async (unit: Unit): Promise<null> => {
      const container = await unit.need(ContainerRow, { id }, `container ${id}`);
      const lot = await unit.need(LotRow, { id: container.lotId }, `lot ${container.lotId}`);
      const states = await unit.all(ContainerActRow, { containerId: id }, { order: { seq: 'ASC', id: 'ASC' } });
      const at = body.at === undefined ? unit.at : readInstant(body.at);
      checkStateChange({ state, at }, { label: container.label, receivedAt: lot.receivedAt, states }, unit.at);
      if (state === 'discarded' && reason === undefined) {
        throw refused('no-reason', 'reason', 'reason is missing; say why it is discarded, such as cloudy or expired.');
      }
      const { zone } = await needLaboratory(unit);
      const until = state === 'opened' && lot.openedLife !== null ? openedUntil(at, lot.openedLife, zone) : null;
      const { personId } = unit.actor;
      await unit.insert(ContainerActRow, { containerId: id, at, personId, state, until, reason: reason ?? null });
      if (state !== 'opened') await bookRemainder(unit, id, state, at, reason);
      unit.about('container', id, { state, at });
      return null;
    };
    await this.store.change(acting, `container.${state}`, write, onceOf(key, { id, ...body }));
    return this.container(acting, { id });
  }
}

async function needLot(view: View, id: string): Promise<KnownLot> {
  const [lot] = await knownLots(view, { id }, { take: 1 });
  if (!lot) throw new Refusal('not-found', 'not-found', `There is no lot ${id}.`);
  return lot;
}

function containerOf(lot: KnownLot, id: string, now: string): ContainerDto {
  const found = lot.containers.find(({ row }) => row.id === id);
  if (!found) throw new Error(`container ${id} is not among those of its lot ${lot.row.id}`);
  return containerView(found, lot.unit, now);
}

function suppliedPart({ life, components, ...wanted }: Omit<NewLotDto, 'origin'>): ReceivedLot {
  const surplus = life !== undefined ? 'life' : components !== undefined ? 'components' : null;
  if (surplus === null) return wanted;
  throw refused(
    'not-prepared',
    surplus,
    `${surplus} belongs to a preparation made here; leave it out, or say origin prepared.`,
  );
}

async function prepare(unit: Unit, body: NewLotDto): Promise<LotRow> {
  const { number, source, strength, storage } = body;
  const { code: reagentCode } = await needReagent(unit, body.reagent);
  const { zone } = await needLaboratory(unit);
  const limits = await preparedLife(unit, body, zone);
  const { at } = unit;
  const lot = await unit.insert(LotRow, {
    reagentCode,
    number,
    origin: 'prepared',
    source,
    receivedAt: at,
    limits,
    strength: strength ?? null,
    storage: storage ?? null,
  });
  for (const [i, given] of body.containers.entries()) {
    const { id: containerId } = await addContainer(unit, lot, given, i);
    // What is made here stands open from the start; its life is that of the preparation.
    await unit.insert(ContainerActRow, { containerId, at, personId: unit.actor.personId, state: 'opened' });
  }
  return lot;
}

async function preparedLife(unit: Unit, body: NewLotDto, zone: string): Promise<Limit[]> {
  const surplus = (['expiry', 'openedLife', 'gtin'] as const).find((field) => body[field] !== undefined);
  if (surplus) {
    throw refused('not-supplied', surplus, `A preparation has no ${surplus}; give life and components instead.`);
  }
  const { life, components } = body;
  if (life === undefined)
    throw refused('no-life', 'life', 'life is missing; give how long the preparation keeps, such as P7D.');
  if (components === undefined) {
    throw refused('no-components', 'components', 'components is missing; name the containers that it is made of.');
  }
  const facts = await containerFacts(unit, components);
  const problems = components.flatMap((id, i) => {
    const component = facts.find((each) => each.id === id);
    const reasons = component
      ? whyUnusable(component, component.reagent, { at: unit.at, uncertaintyMs: 0 }, false).map(
          ({ message }) => message,
        )
      : [`there is no container ${id}`];
    return reasons.map((message) => ({ at: `components.${i}`, message }));
  });
  if (problems.length > 0) {
    const message = `Nothing can be prepared from these: ${problems.map((each) => each.message).join('; ')}.`;
    throw new Refusal('conflict', 'unusable-component', message, problems);
  }
  return preparedLimits(
    unit.at,
    life,
    facts.map(({ limits }) => limits),
    zone,
  );
}

/** What is left of a container goes with it: what was thrown away is waste, what was used up unbooked is a correction. */
async function bookRemainder(
  unit: Unit,
  containerId: string,
  state: 'emptied' | 'discarded',
  at: Instant,
  reason: string | undefined,
): Promise<void> {
  const left = await onHandOf(unit, containerId);
  if (left === 0) return;
  const booked = { containerId, micro: -left, at };
  if (state === 'discarded') await book(unit, { ...booked, kind: 'discarded', reason: reason ?? 'discarded' });
  else await book(unit, { ...booked, kind: 'adjusted', reason: reason ?? 'emptied: used up without being booked' });
}

async function refuseUnknownEvidence(unit: Unit, { fileId, runId }: LotEvidence): Promise<void> {
  if (fileId !== undefined && !(await unit.one(FileRow, { id: fileId }))) {
    throw refused('unknown-file', 'evidence.fileId', `There is no file ${fileId}; keep the file first, then name it.`);
  }
  if (runId !== undefined && !(await unit.one(RunRow, { id: runId }))) {
    throw refused('unknown-run', 'evidence.runId', `There is no run ${runId}; name the run in which it was stained.`);
  }
}

/** A preparation is no better than what it is made of. */
async function refuseOpenComponents(unit: Unit, lot: LotRow): Promise<void> {
  if (lot.origin !== 'prepared') return;
  const components = await containerFacts(unit, await componentsOf(unit, lot.id));
  const open = components.filter(({ lot: { standing } }) => standing.at(-1)?.standing !== 'accepted');
  if (open.length === 0) return;
  const named = open.map(
    ({ label, lot: { number, standing } }) =>
      `${label} of lot ${number}, ${standing.at(-1)?.standing ?? 'quarantined'}`,
  );
  throw new Refusal(
    'conflict',
    'component-not-accepted',
    `It is made of ${named.join('; ')}; accept those lots first.`,
  );
}

function refused(code: string, at: string, message: string): Refusal {
  return new Refusal('invalid', code, message, [{ at, message }]);
}
