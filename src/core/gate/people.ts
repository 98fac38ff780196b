import { competenceAt } from '../competence/competence.js';
import type { Instant } from '../time/instant.js';
import { eventsOf, type RunState } from '../run/state.js';
import type { RunFacts } from './facts.js';
import type { Finding } from './finding.js';
import { finding } from './make-finding.js';

/**
 * What speaks against the people who did the steps up to `last` or judged their ends: each must be competent in the
 * protocol at the act's own instant, or be in training with a supervisor who is. One finding for each person, at the
 * first act that lacks it.
 */
export function peopleFindings(facts: RunFacts, state: RunState, last: number): Finding[] {
  const { people, revision, protocol } = facts;
  const standing = (id: string, at: Instant) =>
    competenceAt(people.find((person) => person.id === id)?.acts ?? [], at, revision.assessedFrom);
  const supervisors = eventsOf(state.events, 'supervised').map(({ data }) => data.supervisor);
  const nameOf = (id: string) => people.find((person) => person.id === id)?.name ?? id;
  const found = new Map<string, Finding>();
  for (const { personId, at } of actsOf(state, last)) {
    if (found.has(personId)) continue;
    const stands = standing(personId, at);
    if (stands === 'competent') continue;
    if (
      stands === 'in training' &&
      supervisors.some((supervisor) => supervisor !== personId && standing(supervisor, at) === 'competent')
    ) {
      continue;
    }
    const name = nameOf(personId);
    const told = { about: personId, at, measured: stands, against: `competent in ${protocol.title}` };
    found.set(
      personId,
      stands === 'in training'
        ? finding('trainee-unsupervised', {
            ...told,
            what: `${name} is in training, and nobody competent is named as supervisor of this run.`,
          })
        : stands === 'not competent'
          ? finding('not-competent', {
              ...told,
              what: `Nothing shows that ${name} was competent in ${protocol.title} on that day.`,
            })
          : finding('competence-lapsed', {
              ...told,
              what:
                stands === 'lapsed'
                  ? `The assessment of ${name} in ${protocol.title} was over by then.`
                  : `The protocol asked for a new assessment since that of ${name}.`,
            }),
    );
  }
  return [...found.values()];
}

/** Who did something in a step up to `last`, and when; in the order of the steps. */
function actsOf(state: RunState, last: number): { personId: string; at: Instant }[] {
  return state.steps
    .slice(0, last + 1)
    .flatMap(({ performances }) =>
      performances.flatMap(({ started, ended }) => [
        { personId: started.personId, at: started.stamp.at },
        ...(ended ? [{ personId: ended.personId, at: ended.stamp.at }] : []),
        ...(ended?.judgedBy ? [{ personId: ended.judgedBy, at: ended.stamp.at }] : []),
      ]),
    );
}
