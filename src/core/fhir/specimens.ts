import type { Specimen, SpecimenProcessing, Substance } from '@medplum/fhirtypes';
import { containersFor, eventsOf, type Performance, type RunState } from '../run/state.js';
import type { Instant } from '../time/instant.js';
import type { Step } from '../protocol/protocol.js';
import type { Disclosure, RunSource, SubjectFacts } from './facts.js';
import { concept, identifier, idOf, refTo } from './names.js';
import { patientRef } from './people.js';

/** Each specimen, slide and control material of a run with every step that was done on it; what they were cut from without. */
export function specimens(source: RunSource, state: RunState, disclosure: Disclosure): Specimen[] {
  const { laboratory, run, subjects } = source;
  return subjects.map((subject) => {
    const { id, label, description, kind, parentId, takenAt } = subject;
    const patient = kind === 'control' ? undefined : patientRef(source, disclosure, id);
    const spoiled = spoiledAt(state, id);
    const inRun = run.subjects.some(({ subjectId }) => subjectId === id);
    const done = inRun ? processing(source, state, spoiled) : [];
    return {
      resourceType: 'Specimen',
      id: idOf(laboratory.id, { type: 'Specimen', key: id }),
      identifier: [identifier('label', label)],
      status: spoiled === null ? 'available' : 'unsatisfactory',
      type: concept('subject-kind', kind, kind),
      ...(patient && { subject: patient }),
      ...(parentId !== null && { parent: [parentRef(source, parentId)] }),
      ...(takenAt !== null && { collection: { collectedDateTime: takenAt } }),
      ...(done.length > 0 && { processing: done }),
      note: [{ text: description }],
    };
  });
}

function parentRef({ laboratory, subjects }: RunSource, parentId: string) {
  const parent: SubjectFacts | undefined = subjects.find(({ id }) => id === parentId);
  return refTo<Specimen>(laboratory.id, 'Specimen', parentId, parent?.label);
}

function spoiledAt({ events }: RunState, id: string): Instant | null {
  return eventsOf(events, 'subject-spoiled').find(({ data }) => data.subject === id)?.stamp.at ?? null;
}

/** The steps in the order in which they began; none that began after the piece was spoiled. */
function processing(source: RunSource, state: RunState, spoiled: Instant | null): SpecimenProcessing[] {
  return state.steps
    .flatMap(({ step, performances }) => performances.map((done) => ({ step, done })))
    .filter(({ done }) => spoiled === null || done.started.stamp.at < spoiled)
    .sort((a, b) => (a.done.started.stamp.at < b.done.started.stamp.at ? -1 : 1))
    .map(({ step, done }) => oneStep(source, state, step, done));
}

function oneStep({ laboratory, run }: RunSource, state: RunState, step: Step, done: Performance): SpecimenProcessing {
  const start = done.started.stamp.at;
  const end = done.ended?.stamp.at ?? null;
  const used = containersFor(state.tray, step, start, end ?? start).map(({ place }) => place.container);
  const additive = run.containers
    .filter(({ id }) => used.includes(id))
    .map(({ id, label }) => refTo<Substance>(laboratory.id, 'Substance', id, label));
  return {
    description: step.action,
    procedure: concept('step', step.id, step.action),
    ...(additive.length > 0 && { additive }),
    ...(end === null ? { timeDateTime: start } : { timePeriod: { start, end } }),
  };
}
