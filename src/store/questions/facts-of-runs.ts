import type { BathGuest, GateSubject, RunFacts } from '../../core/gate/facts.js';
import { stationAt } from '../../core/instruments/instrument.js';
import type { ContainerFacts } from '../../core/lot/facts.js';
import { inForce, type RevisionHistory } from '../../core/protocol/lifecycle.js';
import type { Protocol, Reagent } from '../../core/protocol/protocol.js';
import type { RunEvent } from '../../core/run/events.js';
import { trayContainers } from '../../core/run/state.js';
import { tissueTimes } from '../../core/specimen/tissue.js';
import type { PersonFacts } from '../../core/competence/competence.js';
import type { TissueMomentRow } from '../rows/tissue.entity.js';
import type { View } from '../view.js';
import { bathGuests } from './bath-guests.js';
import { assessedFrom, competenceFacts } from './competence.js';
import { containerFacts } from './containers.js';
import { controlFacts } from './control-coverage.js';
import { controlFailures, failedRequirements } from './failures.js';
import { knownInstruments } from './instruments.js';
import { needLaboratory } from './laboratories.js';
import type { LoadedRun } from './loaded-run.js';
import { policyAt, signedPolicies } from './policies.js';
import { reagentsOf } from './reagents.js';
import { revisionHistories } from './revisions.js';
import { type EarlierRun, earlierRuns, momentsOf, type Piece, piecesOf } from './tissue.js';
import { grouped } from './grouped.js';

/**
 * What the gate looks at of each of these runs, in their order, from the record up to a number. What runs share is read
 * once for all of them: their protocols, people, instruments, bottles and policy.
 */
export async function factsOfRuns(view: View, runs: readonly LoadedRun[], judgedTo: number): Promise<RunFacts[]> {
  const { driftPpm, zone } = await needLaboratory(view);
  const revisions = await revisionFacts(view, runs, judgedTo);
  const containers = await containersOf(view, runs, judgedTo);
  const trays = runs.map(({ events }) => trayContainers(events).flatMap((id) => containers.get(id) ?? []));
  const controls = await controlFacts(
    view,
    runs.map((loaded, n) => ({ loaded, lotIds: [...new Set(trays[n]?.map(({ lot }) => lot.id))] })),
    { zone, upToSeq: judgedTo },
  );
  const guests = await guestsOf(view, [...containers.values()], judgedTo);
  const subjects = await subjectFacts(view, runs, judgedTo);
  const doers = runs.map(({ events }) => workers(events));
  const people = await peopleFacts(view, runs, doers, judgedTo);
  const instruments = await knownInstruments(view, judgedTo);
  const signed = await signedPolicies(view, judgedTo);
  const facts: RunFacts[] = [];
  for (const [n, loaded] of runs.entries()) {
    const { run, revision, events } = loaded;
    const tray = trays[n] ?? [];
    const known = revisions.get(revision.id);
    const own = controls[n];
    if (!known || !own) throw new Error(`run ${run.id} was left out of what was read`);
    facts.push({
      judgedTo,
      runId: run.id,
      purpose: run.purpose,
      startedAt: run.startedAt,
      revision: {
        number: revision.number,
        inForce: known.own !== undefined && inForce(known.own, known.all, run.startedAt),
        assessedFrom: known.assessedFrom,
      },
      protocol: revision.content,
      reagents: known.reagents,
      subjects: subjectsIn(loaded, subjects),
      events,
      containers: tray,
      bathGuests: tray.flatMap(({ id }) => (guests.get(id) ?? []).filter(({ runId }) => runId !== run.id)),
      controls: own,
      controlFailures: await controlFailures(view, loaded, known.failedControls, judgedTo),
      people: (doers[n] ?? []).flatMap((id) => people.get(`${revision.protocolId} ${id}`) ?? []),
      instruments: instruments.filter((each) => stationAt(each, run.startedAt) === run.station),
      policy: policyAt(signed, run.startedAt),
      driftPpm,
    });
  }
  return facts;
}

interface RevisionFacts {
  own: RevisionHistory | undefined;
  all: RevisionHistory[];
  assessedFrom: number;
  reagents: Reagent[];
  /** Control requirements of which a reading ever failed. */
  failedControls: string[];
}

async function revisionFacts(
  view: View,
  runs: readonly LoadedRun[],
  judgedTo: number,
): Promise<Map<string, RevisionFacts>> {
  const found = new Map<string, RevisionFacts>();
  const histories = new Map<string, RevisionHistory[]>();
  for (const { revision } of runs) {
    const { id, protocolId, content } = revision;
    if (found.has(id)) continue;
    const all = histories.get(protocolId) ?? (await revisionHistories(view, protocolId, judgedTo));
    histories.set(protocolId, all);
    found.set(id, {
      own: all.find((each) => each.id === id),
      all,
      assessedFrom: await assessedFrom(view, revision, judgedTo),
      reagents: await reagentsOf(view, stepReagents(content), judgedTo),
      failedControls: await failedRequirements(view, protocolId, judgedTo),
    });
  }
  return found;
}

/** Those on any tray by id; unknown ones are left out. */
async function containersOf(
  view: View,
  runs: readonly LoadedRun[],
  judgedTo: number,
): Promise<Map<string, ContainerFacts>> {
  const ids = [...new Set(runs.flatMap(({ events }) => trayContainers(events)))];
  return new Map((await containerFacts(view, ids, judgedTo)).map((each) => [each.id, each]));
}

async function guestsOf(
  view: View,
  containers: readonly ContainerFacts[],
  judgedTo: number,
): Promise<Map<string, (BathGuest & { runId: string })[]>> {
  const baths = containers.flatMap(({ id, bath }) => (bath ? [id] : []));
  return grouped(
    await bathGuests(view, baths, judgedTo),
    ({ container }) => container,
    (guest) => guest,
  );
}

/** By protocol and person, what was decided on the competence of those who worked on these runs. */
async function peopleFacts(
  view: View,
  runs: readonly LoadedRun[],
  doers: readonly string[][],
  judgedTo: number,
): Promise<Map<string, PersonFacts>> {
  const byProtocol = grouped(
    [...runs.entries()],
    ([, { revision }]) => revision.protocolId,
    ([n]) => doers[n] ?? [],
  );
  const found = new Map<string, PersonFacts>();
  for (const [protocolId, ids] of byProtocol) {
    for (const person of await competenceFacts(view, ids.flat(), protocolId, judgedTo)) {
      found.set(`${protocolId} ${person.id}`, person);
    }
  }
  return found;
}

interface SubjectFacts {
  pieces: Map<string, Piece>;
  moments: Map<string, TissueMomentRow[]>;
  earlier: Map<string, EarlierRun[]>;
}

async function subjectFacts(view: View, runs: readonly LoadedRun[], judgedTo: number): Promise<SubjectFacts> {
  const pieces = await piecesOf(view, [
    ...new Set(runs.flatMap(({ subjects }) => subjects.map(({ subjectId }) => subjectId))),
  ]);
  const tested = [...pieces.values()].filter(({ row, specimen }) => row.tissueTest ?? specimen.tissueTest);
  const patients = runs.flatMap(({ subjects }) =>
    subjects.flatMap(({ role, subjectId }) => (role === 'patient' ? [subjectId] : [])),
  );
  return {
    pieces,
    moments: await momentsOf(view, [...new Set(tested.map(({ specimen }) => specimen.id))], judgedTo),
    earlier: await earlierRuns(view, [...new Set(patients)], judgedTo),
  };
}

function subjectsIn({ run, subjects }: LoadedRun, { pieces, moments, earlier }: SubjectFacts): GateSubject[] {
  return subjects.flatMap(({ subjectId, role, control }): GateSubject[] => {
    const found = pieces.get(subjectId);
    if (!found) return [];
    const { row, specimen } = found;
    return [
      {
        id: subjectId,
        label: row.label,
        kind: row.kind,
        irreplaceable: row.irreplaceable,
        role,
        control,
        specimenId: specimen.id,
        patient: row.patient ?? specimen.patient,
        cytology: row.cytology ?? specimen.cytology,
        tissueTest: row.tissueTest ?? specimen.tissueTest,
        tissue: tissueTimes(specimen.takenAt, moments.get(specimen.id) ?? []),
        spentBy: (earlier.get(subjectId) ?? [])
          .filter(({ runId, startedAt }) => runId !== run.id && startedAt < run.startedAt)
          .flatMap(({ spent }) => spent),
      },
    ];
  });
}

function stepReagents(protocol: Protocol): string[] {
  return [...new Set(protocol.steps.flatMap(({ reagent }) => reagent ?? []))];
}

/** Who recorded something, judged an end or stands by; each once. */
function workers(events: readonly RunEvent[]): string[] {
  const found = new Set(events.map(({ personId }) => personId));
  for (const person of eyesOf(events)) found.add(person);
  for (const event of events) if (event.kind === 'supervised') found.add(event.data.supervisor);
  return [...found];
}

/** Who judged an end by eye. */
export function eyesOf(events: readonly RunEvent[]): string[] {
  return events.flatMap((event) => (event.kind === 'step-ended' && event.data.judgedBy ? [event.data.judgedBy] : []));
}
