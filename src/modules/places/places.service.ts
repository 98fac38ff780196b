import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type {
  ExcursionDto,
  NewMoveDto,
  NewPlaceDto,
  NewWaterCheckDto,
  PlaceDetailDto,
  PlaceDto,
  PlaceNameDto,
  PlacesDto,
  WaterCheckDto,
} from '../../contract/places.dto.js';
import { Refusal } from '../../core/refusal.js';
import type { Reading } from '../../core/storage/excursion.js';
import { checkPlace, isOutside, type Place } from '../../core/storage/place.js';
import { plusMs } from '../../core/time/instant.js';
import { moveContainer } from '../../store/acts/move-container.js';
import {
  excursionsOf,
  type KnownExcursion,
  latestReadings,
  lyingIn,
  placesOf,
  readingsFrom,
  undecidedHolds,
} from '../../store/questions/places.js';
import { needReagent } from '../../store/questions/reagents.js';
import { waterCheckOf } from '../../store/questions/water-checks.js';
import { PlaceRow, WaterCheckRow } from '../../store/rows/places.entity.js';
import { ContainerRow, HoldRow, LotRow } from '../../store/rows/stock.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import type { View } from '../../store/view.js';
import { type Acting, onceOf } from '../http/access.js';

/** Of excursions that are over and decided, so many are shown. */
const LATEST = 10;
const SHOWN_MS = 14 * 86_400_000;

@Injectable()
export class PlacesService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  all({ laboratoryId }: Acting): Promise<PlacesDto> {
    return this.store.read(laboratoryId, async (view) => {
      const holds = await undecidedHolds(view);
      const waits = (each: KnownExcursion): boolean => holds.some(({ causeId }) => causeId === each.id);
      const all = await excursionsOf(view);
      const open = all.filter((each) => each.until === null || waits(each));
      const shown = [...open, ...all.filter((each) => !open.includes(each)).slice(0, LATEST)];
      const excursions: ExcursionDto[] = [];
      for (const each of shown) {
        const undecided = holds.filter(({ causeId }) => causeId === each.id).length;
        excursions.push({ ...each, worst: await worstOf(view, each), undecided });
      }
      return { places: await placeViews(view), excursions, holds };
    });
  }

  names({ laboratoryId }: Acting): Promise<PlaceNameDto[]> {
    return this.store.read(laboratoryId, async (view) =>
      (await placesOf(view)).map(({ code, name }) => ({ code, name })),
    );
  }

  one({ laboratoryId }: Acting, code: string): Promise<PlaceDetailDto> {
    const from = plusMs(this.clock.now(), -SHOWN_MS);
    return this.store.read(laboratoryId, async (view) => {
      const place = (await placeViews(view)).find((each) => each.code === code);
      if (!place) throw new Refusal('not-found', 'not-found', `There is no storage place ${code}.`);
      const lying = (await lyingIn(view, code)).map(({ place: _here, ...each }) => each);
      return { ...place, lying, readings: await readingsFrom(view, code, from) };
    });
  }

  async set(acting: Acting, body: NewPlaceDto, key?: string): Promise<PlaceDto> {
    const { code, name, min = null, max = null, dark, classes = null, apart = false } = body;
    checkPlace({ min, max });
    const write = async (unit: Unit): Promise<null> => {
      const { at, actor } = unit;
      await unit.insert(PlaceRow, { code, name, min, max, dark, classes, apart, at, personId: actor.personId });
      unit.about('place', code, { ...body });
      return null;
    };
    await this.store.change(acting, 'place.set', write, onceOf(key, body));
    return this.store.read(acting.laboratoryId, (view) => placeView(view, code));
  }

  async move(acting: Acting, id: string, { place, reason }: NewMoveDto, key?: string): Promise<PlaceDto> {
    const write = async (unit: Unit): Promise<null> => {
      await moveContainer(unit, { containerId: id, place, field: 'place', ...(reason !== undefined && { reason }) });
      unit.about('container', id, { place });
      return null;
    };
    await this.store.change(acting, 'container.moved', write, onceOf(key, { id, place, reason }));
    return this.store.read(acting.laboratoryId, (view) => placeView(view, place));
  }

  /** What is found dry goes on hold at once: nobody opens it on the way to the next look. */
  checkWater(acting: Acting, id: string, { wet, note }: NewWaterCheckDto, key?: string): Promise<WaterCheckDto> {
    const write = async (unit: Unit): Promise<WaterCheckDto> => {
      const container = await unit.need(ContainerRow, { id }, `container ${id}`);
      const lot = await unit.need(LotRow, { id: container.lotId }, `lot ${container.lotId}`);
      const reagent = await needReagent(unit, lot.reagentCode);
      if (reagent.special !== 'picric acid') {
        throw new Refusal(
          'conflict',
          'not-picric',
          `${container.label} holds ${reagent.name}, whose water needs no look; scan the bottle of picric acid.`,
        );
      }
      const { at, actor } = unit;
      await unit.insert(WaterCheckRow, { containerId: id, at, personId: actor.personId, wet, note: note ?? null });
      if (!wet) {
        const reason = 'found dry or doubtful: do not open or move it, call who answers for safety here';
        await unit.insert(HoldRow, { containerId: id, at, kind: 'damage', reason });
      }
      unit.about('container', id, { wet });
      const check = await waterCheckOf(unit, container, lot, reagent);
      if (!check) throw new Error(`container ${id} lost its water check`);
      return check;
    };
    return this.store.change(acting, 'container.water-checked', write, onceOf(key, { id, wet, note }));
  }
}

async function placeViews(view: View): Promise<PlaceDto[]> {
  const latest = await latestReadings(view);
  const lying = await lyingIn(view);
  return (await placesOf(view)).map(({ code, name, min, max, dark, classes, apart }) => {
    const reading = latest.get(code) ?? null;
    return {
      ...{ code, name, min, max, dark, classes, apart },
      latest: reading,
      outside: reading !== null && isOutside(reading.celsius, { min, max }),
      containers: lying.filter(({ place }) => place === code).length,
    };
  });
}

async function placeView(view: View, code: string): Promise<PlaceDto> {
  const found = (await placeViews(view)).find((each) => each.code === code);
  if (!found) throw new Error(`place ${code} is gone after it was written`);
  return found;
}

/** The reading of an excursion that lies farthest outside the limits of that time. */
async function worstOf(view: View, { place, from, until, min, max }: KnownExcursion): Promise<Reading | null> {
  const readings = (await readingsFrom(view, place, from)).filter(({ at }) => until === null || at < until);
  const over = ({ celsius }: Reading): number => farthest(celsius, { min, max });
  return readings.reduce<Reading | null>((worst, each) => (worst && over(worst) >= over(each) ? worst : each), null);
}

function farthest(celsius: number, { min, max }: Pick<Place, 'min' | 'max'>): number {
  return Math.max(min === null ? 0 : min - celsius, max === null ? 0 : celsius - max, 0);
}
