import { asks, type SecondLookCause } from '../../core/second-look/acts.js';
import { releasesThatUsed, type UsedFact } from '../questions/used-facts.js';
import { ReleaseQuestionRow, SecondLookRow } from '../rows/second-looks.entity.js';
import type { Unit } from '../unit.js';

/** Name of the job that asks the gate again for each release of a second look; its target is the second look. */
export const SECOND_LOOK_JOB = 'second-look';

/** What changed and why releases are looked at again. */
export interface LookRaised {
  cause: SecondLookCause;
  /** Id of what changed. */
  causeId: string;
  reason: string;
  /** Page where it is seen. */
  path: string;
}

/**
 * Opens a question on every release that used a fact, in the unit of the act that changes it, and queues the job that
 * answers. Answers the second look, null where no release used the fact. Which acts ask stands in `ASKING_ACTS`; an act
 * that is not among them for this cause is a mistake of the program.
 */
export async function questionReleases(
  unit: Unit,
  { cause, causeId, reason, path }: LookRaised,
  which: UsedFact,
): Promise<SecondLookRow | null> {
  if (!asks(unit.act, cause)) throw new Error(`the act ${unit.act} is not among those that ask for "${cause}"`);
  const releases = await releasesThatUsed(unit, which);
  if (releases.length === 0) return null;
  const { at } = unit;
  const { personId } = unit.actor;
  const look = await unit.insert(SecondLookRow, {
    cause,
    causeId,
    path,
    at,
    personId,
    reason,
    asked: releases.length,
  });
  for (const releaseId of releases) await unit.insert(ReleaseQuestionRow, { lookId: look.id, releaseId });
  await unit.enqueue(SECOND_LOOK_JOB, look.id);
  return look;
}
