import { Injectable } from '@nestjs/common';
import type { HoldDecisionDto, HoldDto, NewHoldDto } from '../../contract/places.dto.js';
import { Refusal } from '../../core/refusal.js';
import { questionReleases } from '../../store/acts/question-releases.js';
import { excursionsOf, undecidedHolds, whereabouts } from '../../store/questions/places.js';
import { ContainerRow, HoldEndRow, HoldRow } from '../../store/rows/stock.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import { type Acting, onceOf } from '../http/access.js';

@Injectable()
export class HoldsService {
  constructor(private readonly store: Store) {}

  hold(acting: Acting, containerId: string, { kind, reason }: NewHoldDto, key?: string): Promise<HoldDto> {
    const write = async (unit: Unit): Promise<HoldDto> => {
      const container = await unit.need(ContainerRow, { id: containerId }, `container ${containerId}`);
      const { id } = await unit.insert(HoldRow, { containerId, at: unit.at, kind, reason });
      await lookAgain(unit, container, reason);
      unit.about('container', containerId, { hold: id, kind });
      const found = (await undecidedHolds(unit)).find((each) => each.id === id);
      if (!found) {
        throw new Refusal('conflict', 'gone', 'This container is empty or discarded; there is nothing to hold.');
      }
      return found;
    };
    return this.store.change(acting, 'container.held', write, onceOf(key, { containerId, kind, reason }));
  }

  /** While a place is still outside its limits nothing that lies there is found fit: the harm goes on. */
  decide(acting: Acting, body: HoldDecisionDto, key?: string): Promise<HoldDto[]> {
    const { holds: ids, usable, reason } = body;
    const write = async (unit: Unit): Promise<HoldDto[]> => {
      const waiting = await undecidedHolds(unit);
      const chosen = ids.map((id, n) => {
        const found = waiting.find((each) => each.id === id);
        if (found) return found;
        const message = 'This hold is decided already, or there is none of that id; fetch the list anew.';
        throw new Refusal('conflict', 'no-such-hold', message, [{ at: `holds.${n}`, message }]);
      });
      if (usable) await refuseStillOutside(unit, chosen);
      const { at, personId } = unit;
      for (const { id } of chosen) await unit.insert(HoldEndRow, { holdId: id, at, personId, usable, reason });
      if (!usable) {
        for (const { containerId } of chosen) {
          await lookAgain(unit, await unit.need(ContainerRow, { id: containerId }, 'such container'), reason);
        }
      }
      unit.about('hold', ids[0] as string, {
        holds: ids,
        containers: chosen.map(({ label }) => label),
        usable,
        reason,
      });
      return undecidedHolds(unit);
    };
    return this.store.change(acting, 'hold.decided', write, onceOf(key, body));
  }
}

/** A doubt about what is in a container reaches every release that used it. */
async function lookAgain(unit: Unit, { id, label, lotId }: ContainerRow, reason: string): Promise<void> {
  await questionReleases(
    unit,
    { cause: 'container on hold', causeId: id, reason: `Container ${label}: ${reason}`, path: `/stock/${lotId}` },
    { containers: [id] },
  );
}

async function refuseStillOutside(unit: Unit, chosen: readonly HoldDto[]): Promise<void> {
  const open = (await excursionsOf(unit)).filter(({ until }) => until === null);
  const places = await whereabouts(
    unit,
    chosen.map(({ containerId }) => containerId),
  );
  const problems = chosen.flatMap(({ containerId, causeId, label }) => {
    const excursion = open.find(({ id }) => id === causeId);
    if (!excursion || places.get(containerId) !== excursion.place) return [];
    const message = `${label} still lies in ${excursion.place}, which is outside its limits since ${excursion.from}; move it, or wait for a reading inside`;
    return [{ at: 'holds', message }];
  });
  if (problems.length === 0) return;
  throw new Refusal(
    'conflict',
    'still-outside',
    `Nothing was decided: ${problems.map(({ message }) => message).join('; ')}.`,
    problems,
  );
}
