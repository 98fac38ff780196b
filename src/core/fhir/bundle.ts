import type { Bundle, Resource } from '@medplum/fhirtypes';
import { runState } from '../run/state.js';
import { auditEvents } from './audit.js';
import type { Disclosure, RunSource } from './facts.js';
import { devices, substances } from './materials.js';
import { identifier, idOf } from './names.js';
import { observations } from './observations.js';
import { groups, organization, patients, practitioners } from './people.js';
import { procedure } from './procedure.js';
import { provenances } from './provenance.js';
import { specimens } from './specimens.js';

/**
 * A run as a FHIR R4 bundle of the type collection (http://hl7.org/fhir/R4/bundle.html): specimens with each step as their
 * processing and the containers used as additives, the run as a procedure, controls and temperatures as observations,
 * signatures as provenance, the record's entries as audit events. Times are instants with Z, units UCUM codes. The same
 * facts make the same bundle, ids included; its timestamp is that of the last entry about the run. What was said or
 * written of a patient's result is not in it.
 */
export function runBundle(source: RunSource, disclosure: Disclosure): Bundle {
  const { laboratory, run, entries } = source;
  const state = runState(run.revision.content, run.events);
  const resources: (Resource & { id?: string })[] = [
    procedure(source, state, disclosure),
    ...specimens(source, state, disclosure),
    ...patients(source, disclosure),
    ...groups(source, disclosure),
    ...substances(source),
    ...devices(source),
    ...observations(source, state),
    ...provenances(source, state, disclosure),
    ...auditEvents(source),
    ...practitioners(source, disclosure),
    organization(source),
  ];
  return {
    resourceType: 'Bundle',
    id: idOf(laboratory.id, { type: 'Bundle', key: run.id }),
    identifier: identifier('run', run.id),
    type: 'collection',
    timestamp: entries.at(-1)?.at ?? run.startedAt,
    entry: resources.map((resource) => ({ fullUrl: `urn:uuid:${resource.id ?? ''}`, resource })),
  };
}
