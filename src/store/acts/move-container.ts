import { Refusal } from '../../core/refusal.js';
import { putAwayProblems } from '../../core/storage/put-away.js';
import { leavingReasons } from '../../core/storage/leaving.js';
import type { Place } from '../../core/storage/place.js';
import type { Reagent } from '../../core/protocol/protocol.js';
import { containerFacts } from '../questions/containers.js';
import { excursionsOf, needPlace, placesOf, storedIn, whereabouts } from '../questions/places.js';
import { needReagent } from '../questions/reagents.js';
import { waterCheckOf } from '../questions/water-checks.js';
import type { MovementRow } from '../rows/ledger.entity.js';
import { ContainerRow, HoldRow, LotRow } from '../rows/stock.entity.js';
import type { Unit } from '../unit.js';
import { book } from './book.js';

/** A container put into a storage place; `field` names the input that says so. */
export interface Move {
  containerId: string;
  /** Code of the place. */
  place: string;
  reason?: string;
  field: string;
}

/**
 * Books that a container now lies in a place. Refuses a place that is not for it, things that must not be stored together,
 * picric acid past its water check, ammoniacal silver, and the shelf for what must leave it. A place that is outside its
 * limits right now puts what is moved into it on hold.
 */
export async function moveContainer(
  unit: Unit,
  { containerId, place: code, reason, field }: Move,
): Promise<MovementRow> {
  const place = await needPlace(unit, code, field);
  const container = await unit.need(ContainerRow, { id: containerId }, `container ${containerId}`);
  const lot = await unit.need(LotRow, { id: container.lotId }, `lot ${container.lotId}`);
  const reagent = await needReagent(unit, lot.reagentCode);
  await refuseGone(unit, container, place, reagent);
  if ((await whereabouts(unit, [containerId])).get(containerId) === code) {
    throw new Refusal('conflict', 'unchanged', `${container.label} lies in ${place.name} already.`);
  }
  const water = await waterCheckOf(unit, container, lot, reagent);
  const problems = putAwayProblems(
    {
      thing: { label: container.label, reagent },
      place,
      there: (await storedIn(unit, code)).filter(({ id }) => id !== containerId),
      ...(water && { water }),
      places: await placesOf(unit),
    },
    unit.at,
  );
  const [first] = problems;
  if (first) {
    const message = `Not put away: ${problems.map((each) => each.message).join('. ')}.`;
    const named = problems.map((each) => ({ at: field, message: each.message }));
    throw new Refusal('conflict', first.code, message, named, { reasons: problems.map((each) => each.code) });
  }
  const moved = await book(unit, {
    kind: 'moved',
    containerId,
    micro: 0,
    place: code,
    ...(reason !== undefined && { reason }),
  });
  for (const excursion of await excursionsOf(unit, code)) {
    if (excursion.until !== null) continue;
    await unit.insert(HoldRow, {
      containerId,
      at: unit.at,
      kind: 'storage excursion',
      causeId: excursion.id,
      reason: `${place.name} was outside its limits since ${excursion.from} when it was put there`,
    });
  }
  return moved;
}

async function refuseGone(unit: Unit, { id, label }: ContainerRow, place: Place, reagent: Reagent): Promise<void> {
  const [facts] = await containerFacts(unit, [id]);
  if (!facts) throw new Error(`container ${id} is not among what is known`);
  if (facts.states.at(-1)?.state === 'discarded') {
    throw new Refusal(
      'conflict',
      'container-discarded',
      `${label} is discarded and lies nowhere; scan the one in your hand.`,
    );
  }
  const reasons = place.apart
    ? []
    : leavingReasons(facts, reagent, unit.at).filter(({ code }) => code !== 'silver-stored');
  if (reasons.length === 0) return;
  const why = reasons.map(({ message }) => message).join('; ');
  throw new Refusal('conflict', 'must-leave', `${label} must leave the shelf: ${why}. Set it apart or discard it.`);
}
