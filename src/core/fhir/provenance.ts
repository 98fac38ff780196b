import type {
  Coding,
  Practitioner,
  Procedure,
  Provenance,
  Signature as SignatureOfFhir,
  Specimen,
} from '@medplum/fhirtypes';
import { canonicalText } from '../record/record.js';
import type { Signature, SignatureMeaning } from '../record/signed.js';
import { eventsOf, type RunState } from '../run/state.js';
import type { Disclosure, ReleasedFacts, RunSource } from './facts.js';
import { concept, idOf, ours, published, refTo } from './names.js';

const PURPOSES = 'urn:iso-astm:E1762-95:2013';
const PARTICIPANTS = 'http://terminology.hl7.org/CodeSystem/provenance-participant-type';

/** What a signature is for in the words of ASTM E1762-95(2013), by what it means here. */
const TYPES: Record<SignatureMeaning, Coding> = {
  authorship: published(PURPOSES, '1.2.840.10065.1.12.1.1', "Author's Signature"),
  approval: published(PURPOSES, '1.2.840.10065.1.12.1.5', 'Verification Signature'),
  release: published(PURPOSES, '1.2.840.10065.1.12.1.6', 'Validation Signature'),
  responsibility: published(PURPOSES, '1.2.840.10065.1.12.1.9', 'Event Witness Signature'),
  review: published(PURPOSES, '1.2.840.10065.1.12.1.13', 'Review Signature'),
};

/**
 * Who signed what of a run: releases, what replaced them or took them back, and a collector's word on a specimen, whose
 * free words are told only where patients are.
 */
export function provenances(source: RunSource, state: RunState, { identifiers }: Disclosure): Provenance[] {
  return [
    ...eventsOf(state.events, 'attested').map(({ id, data }) => {
      const { subject, signature } = data;
      const statement = identifiers === 'included' ? data.statement : null;
      return signed(source, `attestation ${id}`, subject, 'identity attested', statement, [signature]);
    }),
    ...source.releases.flatMap((release) => ofRelease(source, release)),
  ];
}

function ofRelease(source: RunSource, release: ReleasedFacts): Provenance[] {
  const { id, subjectId, kind, point, signature, exception, amends, withdrawal } = release;
  const signatures = [signature, ...(exception ? [exception.second] : [])];
  const activity = `${kind} released at ${point}`;
  const out = signed(source, `release ${id}`, subjectId, activity, exception?.reason ?? null, signatures);
  if (amends !== null) out.entity = [{ role: 'revision', what: releaseRef(source, amends) }];
  if (withdrawal === null) return [out];
  const back = signed(source, `withdrawal ${id}`, subjectId, 'release withdrawn', withdrawal.reason, [
    withdrawal.signature,
  ]);
  back.entity = [{ role: 'removal', what: releaseRef(source, id) }];
  return [out, back];
}

function releaseRef({ laboratory }: RunSource, id: string) {
  return refTo<Provenance>(laboratory.id, 'Provenance', `release ${id}`);
}

function signed(
  { laboratory, run }: RunSource,
  key: string,
  subjectId: string,
  activity: string,
  reason: string | null,
  signatures: readonly Signature[],
): Provenance {
  const who = ({ personId }: Signature) => refTo<Practitioner>(laboratory.id, 'Practitioner', personId);
  return {
    resourceType: 'Provenance',
    id: idOf(laboratory.id, { type: 'Provenance', key }),
    target: [
      refTo<Specimen>(laboratory.id, 'Specimen', subjectId),
      refTo<Procedure>(laboratory.id, 'Procedure', run.id),
    ],
    recorded: signatures[0]?.at ?? run.startedAt,
    activity: { text: activity },
    ...(reason !== null && { reason: [{ text: reason }] }),
    agent: signatures.map((signature) => ({
      type: { coding: [published(PARTICIPANTS, 'attester', 'Attester')] },
      role: [concept('signature-meaning', signature.meaning, signature.meaning)],
      who: who(signature),
    })),
    signature: signatures.map((signature): SignatureOfFhir => ({
      type: [TYPES[signature.meaning]],
      when: signature.at,
      who: who(signature),
      sigFormat: 'application/json',
      data: base64(canonicalText({ system: ours('signature'), ...unnamed(signature) })),
    })),
  };
}

/** The signature without the signer's name, which `who` tells as far as the copy may. */
function unnamed({ at, meaning, recordHash }: Signature): Omit<Signature, 'personId' | 'name'> {
  return { at, meaning, recordHash };
}

function base64(text: string): string {
  return btoa(String.fromCharCode(...new TextEncoder().encode(text)));
}
