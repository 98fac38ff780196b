import type { Reagent } from '../protocol/protocol.js';
import type { Problem } from '../refusal.js';
import type { Instant } from '../time/instant.js';
import { clashesOf } from './classes.js';
import { type Place, unkept } from './place.js';

/** A container that is to be put away, with what its catalogue entry says. */
export interface Stored {
  label: string;
  reagent: Reagent;
}

/** The last look at the water over picric acid: its receipt counts as the first. */
export interface WaterCheck {
  /** False when it was found dry or doubtful. */
  wet: boolean;
  at: Instant;
  /** First instant at which the next one is overdue. */
  due: Instant;
}

export interface PutAway {
  thing: Stored;
  place: Place;
  /** What lies in the place already. */
  there: readonly Stored[];
  /** Absent for anything but picric acid. */
  water?: WaterCheck;
  /** Places that there are, to name one that would be right. */
  places: readonly Place[];
}

/** How often the water over picric acid is checked when the catalogue says nothing: common practice, no source. */
export const WATER_CHECK_EVERY = 'P6M';

/** What speaks against putting a container into a place, each with what is right and who says so. */
export interface PutAwayProblem extends Problem {
  code:
    'silver-stored' | 'picric-dry' | 'picric-unchecked' | 'stored-together' | 'class-not-there' | 'conditions-not-kept';
}

/**
 * Everything that speaks against putting a container into a place at an instant; empty when it may lie there. Ammoniacal
 * silver is never put away, since it forms explosive silver compounds on standing; picric acid only within its water check.
 * What is set apart need not keep its temperature any more.
 */
export function putAwayProblems({ thing, place, there, water, places }: PutAway, at: Instant): PutAwayProblem[] {
  const { label, reagent } = thing;
  const problem = (code: PutAwayProblem['code'], message: string): PutAwayProblem => ({ code, at: 'place', message });
  if (reagent.special === 'ammoniacal silver') {
    return [
      problem(
        'silver-stored',
        `${label} is ammoniacal silver, which forms explosive silver compounds on standing and is never stored (common practice, no source): discard what is left at once by your local rule, and make it fresh for each use`,
      ),
    ];
  }
  const found: PutAwayProblem[] = [];
  if (water && !water.wet) {
    found.push(
      problem(
        'picric-dry',
        `${label} was found dry or doubtful at ${water.at}; dry picric acid explodes by friction: do not open or move it, and call who answers for safety here`,
      ),
    );
  } else if (water && water.due <= at) {
    found.push(
      problem(
        'picric-unchecked',
        `the water over ${label} was last checked at ${water.at} and due again at ${water.due}: look at it without opening it, record the check, then put it away (common practice, no source)`,
      ),
    );
  }
  for (const other of there) {
    for (const { why, source } of clashesOf(reagent.storageClasses ?? [], other.reagent.storageClasses ?? [])) {
      const right = otherPlaces(
        places,
        place,
        (each) => allows(each, reagent) && unkept(reagent.storage ?? {}, each).length === 0,
      );
      found.push(
        problem(
          'stored-together',
          `${label} (${reagent.name}) must not lie beside ${other.label} (${other.reagent.name}) in ${place.name}: ${why} (${source}); ${right}`,
        ),
      );
      break;
    }
  }
  if (place.apart) return found;
  if (!allows(place, reagent)) {
    found.push(
      problem(
        'class-not-there',
        `${place.name} is for ${(place.classes ?? []).join(', ')}, and ${reagent.name} is ${(reagent.storageClasses ?? ['general']).join(', ')}; ${otherPlaces(places, place, (each) => allows(each, reagent))}`,
      ),
    );
  }
  for (const what of unkept(reagent.storage ?? {}, place)) {
    const fits = (each: Place): boolean => allows(each, reagent) && unkept(reagent.storage ?? {}, each).length === 0;
    found.push(
      problem('conditions-not-kept', `${label} does not belong there: ${what}; ${otherPlaces(places, place, fits)}`),
    );
  }
  return found;
}

function allows({ classes }: Place, { storageClasses = ['general'] }: Reagent): boolean {
  return classes === null || storageClasses.every((each) => classes.includes(each));
}

/** Places that are right, those meant for such things first. */
function otherPlaces(places: readonly Place[], not: Place, fits: (place: Place) => boolean): string {
  const right = places.filter((each) => each.code !== not.code && !each.apart && fits(each));
  const names = [
    ...right.filter(({ classes }) => classes !== null),
    ...right.filter(({ classes }) => classes === null),
  ];
  if (names.length === 0) return 'no other place here fits it; set one up';
  return `put it into ${names
    .slice(0, 3)
    .map(({ name }) => name)
    .join(' or ')}`;
}
