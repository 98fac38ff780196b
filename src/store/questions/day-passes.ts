import { atBench } from '../../core/people/roles.js';
import { proves } from '../../core/record/pass-proof.js';
import { Refusal } from '../../core/refusal.js';
import type { Instant } from '../../core/time/instant.js';
import { BadgeRow } from '../rows/badges.entity.js';
import { DayPassRow } from '../rows/day-passes.entity.js';
import { PersonRow } from '../rows/people.entity.js';
import type { View } from '../view.js';

/** A proof that a device made with the key of a day pass. */
export interface PassProof {
  id: string;
  proof: string;
}

/**
 * The person of a day pass who proved to be at a device at an instant: the proof fits the text, the pass had not ended, its
 * badge still stands and the person may work at the bench. Refuses anything else, saying which.
 */
export async function personOfPass(
  view: View,
  { id, proof }: PassProof,
  text: (pass: string) => string,
  at: Instant,
): Promise<PersonRow> {
  const pass = await view.one(DayPassRow, { id });
  if (!pass || !proves(pass.publicKey, text(pass.id), proof)) {
    throw refusal('day-pass-proof', 'The proof does not fit a day pass of this laboratory.');
  }
  const person = await view.need(PersonRow, { id: pass.personId }, 'such person');
  if (at > pass.endsAt) throw refusal('day-pass-ended', `The day pass of ${person.name} ended at ${pass.endsAt}.`);
  if (!(await view.one(BadgeRow, { id: pass.badgeId }))) {
    throw refusal('day-pass-badge', `The badge that the day pass of ${person.name} was opened with was ended.`);
  }
  if (person.disabled || atBench(person.roles).length === 0) {
    throw refusal('day-pass-person', `${person.name} does not work at the bench.`);
  }
  return person;
}

function refusal(code: string, what: string): Refusal {
  return new Refusal('forbidden', code, `${what} Whoever it was can enter this in a session of their own.`);
}
