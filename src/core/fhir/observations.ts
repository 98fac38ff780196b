import type { Observation, Practitioner, Procedure, Specimen } from '@medplum/fhirtypes';
import { controlOutcomes, eventsOf, type RunState } from '../run/state.js';
import type { RunSource } from './facts.js';
import { concept, idOf, published, refTo } from './names.js';

const UCUM = 'http://unitsofmeasure.org';
const INTERPRETATIONS = 'http://terminology.hl7.org/CodeSystem/v3-ObservationInterpretation';

/** How each control reacted against what was expected of it, and every temperature that was read. */
export function observations(source: RunSource, state: RunState): Observation[] {
  return [...controlObservations(source, state), ...temperatures(source, state)];
}

function controlObservations({ laboratory, run }: RunSource, state: RunState): Observation[] {
  return controlOutcomes(state.events).map(({ event, passed, readings }): Observation => {
    const { control, observed, criteria = [] } = event.data;
    const requirement = run.subjects.find(({ subjectId }) => subjectId === control)?.control ?? 'control';
    const asked = run.revision.content.controls.find(({ id }) => id === requirement);
    const by = [...new Set(readings.map(({ personId }) => personId))].filter((each) => each !== null);
    return {
      resourceType: 'Observation',
      id: idOf(laboratory.id, { type: 'Observation', key: event.id }),
      status: 'final',
      partOf: [refTo<Procedure>(laboratory.id, 'Procedure', run.id)],
      code: concept('control', requirement, asked ? `${asked.kind} control: ${asked.material}` : requirement),
      specimen: refTo<Specimen>(laboratory.id, 'Specimen', control),
      effectiveDateTime: event.stamp.at,
      issued: event.receivedAt,
      performer: by.map((key) => refTo<Practitioner>(laboratory.id, 'Practitioner', key)),
      valueString: observed,
      interpretation: [
        {
          coding: [published(INTERPRETATIONS, passed ? 'N' : 'A', passed ? 'Normal' : 'Abnormal')],
          text: passed ? 'the control reacted as expected' : 'the control did not react as expected',
        },
      ],
      ...(asked && { referenceRange: [{ text: asked.expected }] }),
      ...(criteria.length > 0 && {
        component: criteria.map(({ criterion, grade, seen }) => ({
          code: concept('criterion', criterion, criterion),
          ...(typeof grade === 'number' ? { valueInteger: grade } : { valueString: grade }),
          ...(seen !== undefined && { interpretation: [{ text: seen }] }),
        })),
      }),
    };
  });
}

function temperatures({ laboratory, run }: RunSource, state: RunState): Observation[] {
  return eventsOf(state.events, 'temperature-read').map(({ id, data, stamp, personId, receivedAt }) => ({
    resourceType: 'Observation',
    id: idOf(laboratory.id, { type: 'Observation', key: id }),
    status: 'final',
    partOf: [refTo<Procedure>(laboratory.id, 'Procedure', run.id)],
    code: concept('temperature-of-step', data.step, `temperature of the step ${data.step}`),
    effectiveDateTime: stamp.at,
    issued: receivedAt,
    performer: [refTo<Practitioner>(laboratory.id, 'Practitioner', personId)],
    valueQuantity: { value: data.value, unit: data.unit, system: UCUM, code: data.unit },
  }));
}
