import type { Device, Organization, Practitioner, Procedure, Substance } from '@medplum/fhirtypes';
import type { RunState } from '../run/state.js';
import type { Disclosure, RunSource } from './facts.js';
import { identifier, idOf, ours, refTo } from './names.js';
import { runSubject } from './people.js';

/** The run itself: by which protocol, from when to when, by whom, with what. */
export function procedure(source: RunSource, state: RunState, disclosure: Disclosure): Procedure {
  const { laboratory, run, instruments } = source;
  const { content, number } = run.revision;
  const ends = state.steps.flatMap(({ performances }) => performances.flatMap(({ ended }) => ended?.stamp.at ?? []));
  const end = state.abandoned?.at ?? ends.sort().at(-1);
  const status = statusOf(state);
  return {
    resourceType: 'Procedure',
    id: idOf(laboratory.id, { type: 'Procedure', key: run.id }),
    identifier: [identifier('run', run.id)],
    status,
    ...(state.abandoned && { statusReason: { text: state.abandoned.reason } }),
    category: { text: 'Staining of tissue in the laboratory' },
    code: {
      coding: [{ system: ours('protocol'), version: String(number), code: content.id, display: content.title }],
      text: content.title,
    },
    subject: runSubject(source, disclosure),
    performedPeriod: { start: run.startedAt, ...(status !== 'in-progress' && end !== undefined && { end }) },
    performer: workers(source).map((key) => ({
      actor: refTo<Practitioner>(laboratory.id, 'Practitioner', key),
      onBehalfOf: refTo<Organization>(laboratory.id, 'Organization', laboratory.id, laboratory.name),
    })),
    location: { display: run.station },
    usedReference: [
      ...run.containers.map(({ id, label }) => refTo<Substance>(laboratory.id, 'Substance', id, label)),
      ...instruments.map(({ id, code }) => refTo<Device>(laboratory.id, 'Device', id, code)),
    ],
  };
}

/** Over once the station was cleared or the last step ended; stopped once a person gave it up. */
function statusOf({ abandoned, cleared, steps }: RunState): Procedure['status'] & string {
  if (abandoned) return 'stopped';
  const lastEnded = steps.at(-1)?.performances.at(-1)?.ended ?? null;
  return cleared || lastEnded !== null ? 'completed' : 'in-progress';
}

/** Who started the run or recorded something of it. */
function workers({ run }: RunSource): string[] {
  return [...new Set([run.personId, ...run.events.map(({ personId }) => personId)])];
}
