import { exposed, excursionChanges, type Reading } from '../../core/storage/excursion.js';
import { limitsText, type Place } from '../../core/storage/place.js';
import { excursionsOf, readingsFrom, staysIn } from '../questions/places.js';
import { ExcursionEndRow, ExcursionRow, TemperatureRow } from '../rows/places.entity.js';
import { HoldRow } from '../rows/stock.entity.js';
import type { Unit } from '../unit.js';
import { questionReleases } from './question-releases.js';

/** What readings brought about. */
export interface Recorded {
  temperatureId: string;
  /** Excursions that they began. */
  excursions: string[];
  /** How many containers they put on hold. */
  held: number;
}

/**
 * Keeps readings of a place, at least one, in the order of their instants. One outside its limits opens an excursion and puts
 * everything that lay there meanwhile on hold, in the same act; one back inside ends it.
 */
export async function recordTemperatures(
  unit: Unit,
  place: Place,
  readings: readonly [Reading, ...Reading[]],
  how: TemperatureRow['how'],
): Promise<Recorded> {
  const [first] = readings;
  const last = readings.at(-1) ?? first;
  const known = await excursionsOf(unit, place.code);
  const open = known.filter(({ until }) => until === null).map(({ from }) => from);
  const since = [first.at, ...open].sort().at(0) ?? first.at;
  const before = await readingsFrom(unit, place.code, since);
  const { id: temperatureId } = await unit.insert(TemperatureRow, {
    place: place.code,
    since: first.at,
    until: last.at,
    readings: [...readings],
    how,
    personId: unit.actor.personId,
  });
  const { opened, ended } = excursionChanges(place, readings, [...before, ...readings], known);
  for (const { from, until } of ended) {
    const over = known.find((each) => each.until === null && each.from === from);
    if (over) await unit.insert(ExcursionEndRow, { excursionId: over.id, until });
  }
  const excursions: string[] = [];
  let held = 0;
  const stays = opened.length === 0 ? [] : await staysIn(unit, place.code);
  for (const span of opened) {
    const { id } = await unit.insert(ExcursionRow, {
      place: place.code,
      since: span.from,
      min: place.min,
      max: place.max,
    });
    excursions.push(id);
    if (span.until !== null) await unit.insert(ExcursionEndRow, { excursionId: id, until: span.until });
    const lay = exposed(stays, span);
    for (const { containerId, from } of lay) {
      await unit.insert(HoldRow, {
        containerId,
        at: from,
        kind: 'storage excursion',
        causeId: id,
        reason: `${place.name}, kept ${limitsText(place)}, was outside its limits from ${span.from}`,
      });
      held += 1;
    }
    await questionReleases(
      unit,
      {
        cause: 'storage excursion',
        causeId: id,
        reason: `${place.name}, kept ${limitsText(place)}, was outside its limits from ${span.from}.`,
        path: `/stock/places/${place.code}`,
      },
      { containers: [...new Set(lay.map(({ containerId }) => containerId))], since: span.from },
    );
  }
  return { temperatureId, excursions, held };
}
