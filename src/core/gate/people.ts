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
  const look = (personId: string, at: Instant): void => {
    if (found.has(personId)) return;
    const stands = standing(personId, at);
    if (stands === 'competent') return;
    if (
      stands === 'in training' &&
      supervisors.some((supervisor) => supervisor !== personId && standing(supervisor, at) === 'competent')
    ) {
      return;
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
  };
  for (const { performances } of state.steps.slice(0, last + 1)) {
    for (const { started, ended } of performances) {
      look(started.personId, started.stamp.at);
      if (ended) look(ended.personId, ended.stamp.at);
      if (ended?.judgedBy) look(ended.judgedBy, ended.stamp.at);
    }
  }
  return [...found.values()];
}
