import type { AuditEvent, Coding, Device, Organization, Practitioner, Procedure } from '@medplum/fhirtypes';
import type { RecordedAct, RunSource } from './facts.js';
import { idOf, ours, published, refTo } from './names.js';

const LIFECYCLE = 'http://terminology.hl7.org/CodeSystem/iso-21089-lifecycle';

/** Every entry of the record about a run, with its number and hash, so that it can be found in an exported chain. */
export function auditEvents(source: RunSource): AuditEvent[] {
  const { laboratory, run } = source;
  return source.entries.map((entry): AuditEvent => {
    const { seq, at, act, hash } = entry;
    return {
      resourceType: 'AuditEvent',
      id: idOf(laboratory.id, { type: 'AuditEvent', key: String(seq) }),
      type: typeOf(act),
      subtype: [{ system: ours('act'), code: act }],
      action: act === 'run.started' ? 'C' : 'U',
      recorded: at,
      outcome: '0',
      agent: [{ who: whoActed(source, entry), requestor: true }],
      source: {
        site: laboratory.name,
        observer: refTo<Organization>(laboratory.id, 'Organization', laboratory.id, laboratory.name),
      },
      entity: [
        {
          what: refTo<Procedure>(laboratory.id, 'Procedure', run.id),
          detail: [
            { type: 'record number', valueString: String(seq) },
            { type: 'record hash', valueString: hash },
          ],
        },
      ],
    };
  });
}

/** Acts that a signature makes. */
const SIGNED = ['run.released', 'run.release-amended', 'run.release-withdrawn', 'run.attested'];

/** The act in the words of ISO/TS 21089, as FHIR prints them. */
function typeOf(act: string): Coding {
  if (act === 'run.started') return published(LIFECYCLE, 'originate', 'Originate/Retain Record Lifecycle Event');
  if (SIGNED.includes(act)) return published(LIFECYCLE, 'attest', 'Attest Record Lifecycle Event');
  return published(LIFECYCLE, 'amend', 'Amend (Update) Record Lifecycle Event');
}

function whoActed({ laboratory }: RunSource, { personId, deviceId }: RecordedAct): AuditEvent['agent'][0]['who'] {
  if (personId !== null) return refTo<Practitioner>(laboratory.id, 'Practitioner', personId);
  if (deviceId !== null) return refTo<Device>(laboratory.id, 'Device', deviceId);
  return { display: 'the program' };
}
