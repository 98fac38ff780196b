import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type {
  NewContainerStateDto,
  ContainerDto,
  NewLotDecisionDto,
  LotListDto,
  LotQueryDto,
  LotDto,
  NewContainerDto,
  NewLotDto,
} from '../../contract/stock.dto.js';
import { endsInCheckDigit } from '../../core/gs1/check-digit.js';
import { makeLabel, readLabel, type LabelKind, LABEL_KINDS } from '../../core/gs1/label.js';
import { usableUntil } from '../../core/lot/expiry.js';
import { whyUnusable } from '../../core/lot/facts.js';
import type { Limit } from '../../core/lot/lot.js';
import { checkStateChange, openedUntil, preparedLimits, suppliedLimits } from '../../core/lot/receive.js';
import { nearest } from '../../core/protocol/check.js';
import type { Reagent } from '../../core/protocol/protocol.js';
import { Refusal } from '../../core/refusal.js';
import { readInstant } from '../../core/time/instant.js';
import { containerFacts } from '../../store/questions/containers.js';
import { labelTaken, unusedLabel } from '../../store/questions/labels.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { componentsOf, containersBySerial, knownLots, type KnownLot } from '../../store/questions/lots.js';
import { catalogue } from '../../store/questions/reagents.js';
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
      const { reagent: code, number, origin, source, strength, storage } = body;
      const reagent = await needReagent(unit, code);
      const gtin = body.gtin === undefined ? null : wholeGtin(body.gtin);
      const { zone } = await needLaboratory(unit);
      const { limits, openedLife } =
        origin === 'supplied' ? supplied(body, reagent, unit.at, zone) : await prepared(unit, body, zone);
      if (origin === 'supplied') await refuseOtherPrint(unit, body, gtin, limits);
      const lot = await unit.insert(LotRow, {
        reagentCode: code,
        number,
        gtin,
        origin,
        source,
        receivedAt: unit.at,
        expiry: body.expiry ?? null,
        openedLife,
        limits,
        strength: strength ?? null,
        storage: storage ?? null,
      });
      await addContainers(unit, lot, body.containers);
      const made = origin === 'prepared' ? { components: body.components } : {};
      unit.about('lot', lot.id, { reagent: code, number, ...made });
      return lot.id;
    };
    const act = body.origin === 'supplied' ? 'lot.received' : 'lot.prepared';
    return this.lot(acting, await this.store.change(acting, act, write, onceOf(key, body)));
  }

  async decide(acting: Acting, id: string, { standing, reason }: NewLotDecisionDto, key?: string): Promise<LotDto> {
    const write = async (unit: Unit): Promise<null> => {
      const { row, decisions } = await needLot(unit, id);
      if ((decisions.at(-1)?.standing ?? 'quarantined') === standing) {
        throw new Refusal('conflict', 'unchanged', `Lot ${row.number} is ${standing} already.`);
      }
      if (standing === 'accepted') await refuseOpenComponents(unit, row);
      await unit.insert(LotActRow, { lotId: id, at: unit.at, personId: unit.actor.personId, standing, reason });
      unit.about('lot', id, { standing });
      return null;
    };
    await this.store.change(acting, 'lot.decided', write, onceOf(key, { id, standing, reason }));
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
      const { zone } = await needLaboratory(unit);
      const until = state === 'opened' && lot.openedLife !== null ? openedUntil(at, lot.openedLife, zone) : null;
      const { personId } = unit.actor;
      await unit.insert(ContainerActRow, { containerId: id, at, personId, state, until, reason: reason ?? null });
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
  return containerView(found, now);
}

async function needReagent(view: View, code: string): Promise<Reagent> {
  const reagents = await catalogue(view);
  const found = reagents.find((each) => each.code === code);
  if (found) return found;
  const codes = reagents.map((each) => each.code);
  const words = code.split('-').filter((word) => word.length > 2);
  const near = nearest(code, codes);
  const alike =
    near === undefined ? codes.filter((each) => words.some((word) => each.includes(word))).slice(0, 5) : [near];
  const right = alike.length > 0 ? `did you mean ${alike.join(' or ')}?` : 'look it up in the catalogue of reagents.';
  throw refused('unknown-reagent', 'reagent', `"${code}" is not in the catalogue of reagents; ${right}`);
}

/** A GTIN with its leading zeros. */
function wholeGtin(digits: string): string {
  if (endsInCheckDigit(digits)) return digits.padStart(14, '0');
  throw refused(
    'check-digit',
    'gtin',
    `The last digit of "${digits}" does not fit the others; compare it with the print.`,
  );
}

interface Life {
  limits: Limit[];
  openedLife: string | null;
}

function supplied(body: NewLotDto, reagent: Reagent, at: string, zone: string): Life {
  const surplus = (['life', 'components'] as const).find((field) => body[field] !== undefined);
  if (surplus) {
    throw refused(
      'not-prepared',
      surplus,
      `${surplus} belongs to a preparation made here; leave it out, or say origin prepared.`,
    );
  }
  if (body.expiry === undefined) {
    const message =
      'expiry is missing; give it as printed, or the one that the laboratory sets for a product without one.';
    throw refused('no-expiry', 'expiry', message);
  }
  const openedLife = body.openedLife ?? reagent.openedLife ?? null;
  if (openedLife !== null) openedUntil(at, openedLife, zone);
  return { limits: suppliedLimits(body.expiry, at, zone), openedLife };
}

async function prepared(unit: Unit, body: NewLotDto, zone: string): Promise<Life> {
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
  return {
    limits: preparedLimits(
      unit.at,
      life,
      facts.map(({ limits }) => limits),
      zone,
    ),
    openedLife: null,
  };
}

/** A lot number stands for one expiry, and a product's number for one reagent. */
async function refuseOtherPrint(unit: Unit, body: NewLotDto, gtin: string | null, limits: Limit[]): Promise<void> {
  const { reagent, number } = body;
  const sameNumber = await unit.all(LotRow, { reagentCode: reagent, number, origin: 'supplied' });
  const other = sameNumber.find(
    (lot) =>
      usableUntil(lot.limits) !== usableUntil(limits) && (gtin === null || lot.gtin === null || lot.gtin === gtin),
  );
  if (other) {
    const message = `Lot ${number} of ${reagent} was received before with the expiry ${other.expiry}; compare both prints, one of them is wrong.`;
    throw new Refusal('conflict', 'other-expiry', message, [{ at: 'expiry', message }]);
  }
  const sameProduct =
    gtin === null ? null : (await unit.all(LotRow, { gtin })).find((lot) => lot.reagentCode !== reagent);
  if (sameProduct) {
    const message = `The product ${gtin} was received before as ${sameProduct.reagentCode}, not as ${reagent}; compare with the print.`;
    throw new Refusal('conflict', 'other-reagent', message, [{ at: 'gtin', message }]);
  }
}

async function addContainers(unit: Unit, lot: LotRow, containers: readonly NewContainerDto[]): Promise<void> {
  const kind: LabelKind = lot.origin === 'prepared' ? 'P' : 'C';
  for (const [i, { label: given, serial, size }] of containers.entries()) {
    const label = given === undefined ? await unusedLabel(unit, kind) : await ownLabel(unit, given, kind, i);
    if (serial !== undefined && (await containersBySerial(unit, lot.reagentCode, serial)).length > 0) {
      const message = `A container of ${lot.reagentCode} with the serial number ${serial} is here already.`;
      throw new Refusal('conflict', 'serial-taken', message, [{ at: `containers.${i}.serial`, message }]);
    }
    const { id } = await unit.insert(ContainerRow, {
      lotId: lot.id,
      label,
      serial: serial ?? null,
      size: size ?? null,
    });
    // What is made here stands open from the start; its life is that of the preparation.
    if (lot.origin === 'prepared') {
      const { at, actor } = unit;
      await unit.insert(ContainerActRow, {
        containerId: id,
        at,
        personId: actor.personId,
        state: 'opened',
        until: null,
        reason: null,
      });
    }
  }
}

/** A label that a container carries already: right in itself, of the right kind and on nothing else. */
async function ownLabel(unit: Unit, given: string, kind: LabelKind, index: number): Promise<string> {
  const at = `containers.${index}.label`;
  const read = readLabel(given);
  if (!read.valid) throw refused('bad-label', at, read.error.message);
  if (read.kind !== kind) {
    throw refused(
      'other-kind',
      at,
      `"${given}" is a label for a ${LABEL_KINDS[read.kind]}; a ${LABEL_KINDS[kind]} has SW1:${kind}:….`,
    );
  }
  const label = makeLabel(kind, read.id);
  if (await labelTaken(unit, label)) {
    const message = `The label ${label} is on another thing already; take a new one.`;
    throw new Refusal('conflict', 'label-taken', message, [{ at, message }]);
  }
  return label;
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
