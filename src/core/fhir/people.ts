import type { Group, Organization, Patient, Practitioner, Procedure, Reference } from '@medplum/fhirtypes';
import type { IdentifierKind } from '../specimen/subject.js';
import type { Disclosure, RunSource, SubjectFacts } from './facts.js';
import { identifier, idOf, MASKED, refTo } from './names.js';

/** The laboratory that did the run and keeps its record. */
export function organization({ laboratory }: RunSource): Organization {
  const { id, name } = laboratory;
  return {
    resourceType: 'Organization',
    id: idOf(id, { type: 'Organization', key: id }),
    identifier: [identifier('laboratory', id)],
    name,
  };
}

/** Those who worked on the run or signed for it; without their names where staff are masked. */
export function practitioners({ laboratory, people }: RunSource, { staff }: Disclosure): Practitioner[] {
  return Object.entries(people).map(([key, name]) => ({
    resourceType: 'Practitioner',
    id: idOf(laboratory.id, { type: 'Practitioner', key }),
    ...(staff === 'named'
      ? { identifier: [identifier('person', key)], name: [{ text: name }] }
      : { name: [{ extension: [MASKED] }] }),
  }));
}

/** One person, told by the specimens that are theirs. */
interface OnePatient {
  /** Our id of the first of them. */
  key: string;
  specimens: string[];
}

/** The specimens of a run's patients, those with the same patient number together; slides count as what they were cut from. */
export function patientsOf({ run, subjects, identifiers }: RunSource): OnePatient[] {
  const roots = run.subjects
    .filter(({ role }) => role === 'patient')
    .map(({ subjectId }) => rootOf(subjects, subjectId));
  const found = new Map<string, OnePatient>();
  for (const root of new Set(roots)) {
    const number = valueOf(identifiers, root, 'patient number');
    const person = number === null ? `specimen ${root}` : `number ${number}`;
    const known = found.get(person);
    if (known) known.specimens.push(root);
    else found.set(person, { key: root, specimens: [root] });
  }
  return [...found.values()];
}

/** Patients as far as they are told; none where they are left out. */
export function patients(source: RunSource, { identifiers: form }: Disclosure): Patient[] {
  if (form === 'left out') return [];
  return patientsOf(source).map(({ key, specimens }): Patient => {
    const id = idOf(source.laboratory.id, { type: 'Patient', key });
    if (form === 'masked') return { resourceType: 'Patient', id, name: [{ extension: [MASKED] }] };
    const value = (kind: IdentifierKind): string | null =>
      specimens.map((own) => valueOf(source.identifiers, own, kind)).find((each) => each !== null) ?? null;
    const [number, name, born] = [value('patient number'), value('patient name'), value('birth date')];
    return {
      resourceType: 'Patient',
      id,
      ...(number === null ? {} : { identifier: [identifier('patient-number', number)] }),
      ...(name === null ? {} : { name: [{ text: name }] }),
      ...(born !== null && /^\d{4}-\d\d-\d\d$/.test(born) ? { birthDate: born } : {}),
    };
  });
}

/** Whose a specimen or slide is; undefined for control material and where patients are left out. */
export function patientRef(
  source: RunSource,
  { identifiers: form }: Disclosure,
  id: string,
): Reference<Patient> | undefined {
  if (form === 'left out') return undefined;
  const root = rootOf(source.subjects, id);
  const patient = patientsOf(source).find(({ specimens }) => specimens.includes(root));
  return patient && refTo<Patient>(source.laboratory.id, 'Patient', patient.key);
}

/** Several patients whose specimens went through one run; none for one or no patient. */
export function groups(source: RunSource, { identifiers: form }: Disclosure): Group[] {
  const members = form === 'left out' ? [] : patientsOf(source);
  if (members.length < 2) return [];
  const { laboratory, run } = source;
  return [
    {
      resourceType: 'Group',
      id: idOf(laboratory.id, { type: 'Group', key: run.id }),
      type: 'person',
      actual: true,
      quantity: members.length,
      member: members.map(({ key }) => ({ entity: refTo<Patient>(laboratory.id, 'Patient', key) })),
    },
  ];
}

/** On whom a run was done, which a procedure has to say. */
export function runSubject(source: RunSource, disclosure: Disclosure): Procedure['subject'] {
  const of = patientsOf(source);
  const [first] = of;
  if (!first) return { display: 'No patient: control material alone' };
  if (disclosure.identifiers === 'left out') return { display: 'Patients are left out of this copy' };
  const { laboratory, run } = source;
  return of.length === 1
    ? refTo<Patient>(laboratory.id, 'Patient', first.key)
    : refTo<Group>(laboratory.id, 'Group', run.id);
}

function rootOf(subjects: readonly SubjectFacts[], id: string): string {
  const parentId = subjects.find((each) => each.id === id)?.parentId ?? null;
  return parentId === null ? id : rootOf(subjects, parentId);
}

function valueOf(all: RunSource['identifiers'], ownerId: string, kind: IdentifierKind): string | null {
  return all.find((each) => each.ownerId === ownerId && each.kind === kind)?.value ?? null;
}
