import type {
  CodeableConcept,
  Coding,
  Extension,
  Identifier,
  Reference,
  Resource,
  ResourceType,
} from '@medplum/fhirtypes';
import { namedUuid } from '../record/named-uuid.js';

/** Ours, drawn once; every copy of a thing has the same name in it. */
const NAMESPACE = '3f6b1f5e-6d0e-4b63-9c6d-8d4c1a9f2e07';

/** Resources that a run's copy points to; `key` is our own id of the thing. */
export interface Named {
  type: ResourceType;
  key: string;
}

/** The identifier system or code system of ours with that name; 'invalid' says that it answers nobody (RFC 2606). */
export function ours(name: string): string {
  return `https://stainwright.invalid/fhir/${name}`;
}

/** The resource's own id: the same in every copy of the thing, of one laboratory. */
export function idOf(laboratoryId: string, { type, key }: Named): string {
  return namedUuid(NAMESPACE, `${laboratoryId} ${type} ${key}`);
}

/** The address by which resources of one bundle point to another (FHIR R4, Bundle, section 2.36.4.1). */
export function urnOf(laboratoryId: string, named: Named): string {
  return `urn:uuid:${idOf(laboratoryId, named)}`;
}

/** A pointer to a resource of the same bundle. */
export function refTo<T extends Resource>(
  laboratoryId: string,
  type: T['resourceType'],
  key: string,
  display?: string,
): Reference<T> {
  return {
    reference: urnOf(laboratoryId, { type, key }),
    ...(display === undefined ? {} : { display }),
  } as Reference<T>;
}

export function identifier(system: string, value: string): Identifier {
  return { system: ours(system), value };
}

/** A concept that only we have a code for, with its words. */
export function concept(system: string, code: string, text: string): CodeableConcept {
  return { coding: [{ system: ours(system), code, display: text }], text };
}

/** A concept of a published code system. */
export function published(system: string, code: string, display: string): Coding {
  return { system, code, display };
}

/** Says that a value is there and not told (http://hl7.org/fhir/R4/extension-data-absent-reason.html). */
export const MASKED: Extension = {
  url: 'http://hl7.org/fhir/StructureDefinition/data-absent-reason',
  valueCode: 'masked',
};
