import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type { LeavingListDto, SetApartDto } from '../../contract/places.dto.js';
import { Refusal } from '../../core/refusal.js';
import { moveContainer } from '../../store/acts/move-container.js';
import { leavingShelf, undatedOpenings } from '../../store/questions/leaving.js';
import { placesOf } from '../../store/questions/places.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import { type Acting, onceOf } from '../http/access.js';

@Injectable()
export class LeavingService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  list({ laboratoryId }: Acting): Promise<LeavingListDto> {
    const at = this.clock.now();
    return this.store.read(laboratoryId, async (view) => ({
      at,
      leaving: (await leavingShelf(view, at)).map(({ facts: { id, label, reagent, lot }, place, reasons }) => ({
        ...{ id, label, reagent, lotId: lot.id, lotNumber: lot.number, place, reasons },
        neverStored: reasons.some(({ code }) => code === 'silver-stored'),
      })),
      undated: await undatedOpenings(view, at),
    }));
  }

  async setApart(acting: Acting, body: SetApartDto, key?: string): Promise<LeavingListDto> {
    const { containers, reason } = body;
    const write = async (unit: Unit): Promise<null> => {
      const place = await apartPlace(unit, body.place);
      for (const [n, containerId] of containers.entries()) {
        await moveContainer(unit, { containerId, place, reason, field: `containers.${n}` });
      }
      unit.about('place', place, { containers, reason });
      return null;
    };
    await this.store.change(acting, 'container.set-apart', write, onceOf(key, body));
    return this.list(acting);
  }
}

/** The place for what is set apart: the one that was named, or the only one. */
async function apartPlace(unit: Unit, wanted: string | undefined): Promise<string> {
  const apart = (await placesOf(unit)).filter((each) => each.apart);
  const [only] = apart;
  const refused = (code: string, message: string) => new Refusal('invalid', code, message, [{ at: 'place', message }]);
  if (!only) {
    throw refused('no-apart-place', 'No storage place is marked as apart; a manager sets one up first.');
  }
  const named = apart.map(({ code }) => code).join(', ');
  if (wanted === undefined) {
    if (apart.length === 1) return only.code;
    throw refused('which-place', `place is missing; it would be one of ${named}.`);
  }
  if (apart.some(({ code }) => code === wanted)) return wanted;
  throw refused('not-apart', `${wanted} is no place for what is set apart; it would be one of ${named}.`);
}
