import type { Term } from '../../core/alerts/term.js';
import { letsWork } from '../../core/competence/competence.js';
import { roundStanding } from '../../core/external-assessment/round.js';
import { dueAgain } from '../../core/instruments/instrument.js';
import type { Instant } from '../../core/time/instant.js';
import { CompetenceRow } from '../rows/competence.entity.js';
import { PersonRow } from '../rows/people.entity.js';
import { RevisionRow } from '../rows/protocols.entity.js';
import { RoundActRow, RoundRow } from '../rows/rounds.entity.js';
import type { View } from '../view.js';
import { knownInstruments } from './instruments.js';

/** Terms that run now: assessments of people who may sign in, calibrations, services, rounds that wait for results. */
export async function runningTerms(view: View, now: Instant): Promise<Term[]> {
  return [...(await assessments(view)), ...(await checks(view, now)), ...(await rounds(view))];
}

/** The last decision on each person and protocol, while it is one that ends. */
async function assessments(view: View): Promise<Term[]> {
  const people = new Map((await view.all(PersonRow, { disabled: false })).map(({ id, name }) => [id, name]));
  const acts = await view.all(CompetenceRow, {}, { order: { seq: 'ASC', id: 'ASC' } });
  const last = new Map(acts.map((act) => [`${act.personId} ${act.protocolId}`, act]));
  const titles = await titlesOf(view, [...new Set(acts.map(({ protocolId }) => protocolId))]);
  return [...last].flatMap(([id, { personId, protocolId, decision, until }]): Term[] => {
    const name = people.get(personId);
    if (name === undefined || until === null || !letsWork(decision)) return [];
    const what = titles.get(protocolId) ?? protocolId;
    return [{ kind: 'competence', id, name: `${name} in ${what}`, until, path: '/people/competence' }];
  });
}

async function titlesOf(view: View, protocolIds: readonly string[]): Promise<Map<string, string>> {
  const titles = new Map<string, string>();
  for (const protocolId of protocolIds) {
    const [revision] = await view.all(RevisionRow, { protocolId }, { order: { number: 'DESC' }, take: 1 });
    if (revision) titles.set(protocolId, revision.title);
  }
  return titles;
}

async function checks(view: View, now: Instant): Promise<Term[]> {
  return (await knownInstruments(view)).flatMap((instrument) => {
    const name = `${instrument.name} (${instrument.code})`;
    return Object.entries(dueAgain(instrument, now)).flatMap(([kind, until]): Term[] =>
      until === null
        ? []
        : [{ kind: kind as 'calibration' | 'service', id: instrument.id, name, until, path: '/controls/instruments' }],
    );
  });
}

async function rounds(view: View): Promise<Term[]> {
  const acts = await view.all(RoundActRow, {}, { order: { seq: 'ASC', id: 'ASC' } });
  return (await view.all(RoundRow)).flatMap(({ id, body, round, dueAt }): Term[] =>
    roundStanding(acts.filter(({ roundId }) => roundId === id)) === 'to be stained'
      ? [{ kind: 'external assessment', id, name: `${body}, ${round}`, until: dueAt, path: '/controls/rounds' }]
      : [],
  );
}
