import { describe, expect, it } from '@jest/globals';
import type {
  Bundle,
  Observation,
  Patient,
  Practitioner,
  Procedure,
  Provenance,
  Resource,
  Specimen,
  Substance,
} from '@medplum/fhirtypes';
import { runBundle } from '../../../src/core/fhir/bundle.js';
import type { Disclosure, RunSource } from '../../../src/core/fhir/facts.js';
import { namedUuid } from '../../../src/core/record/named-uuid.js';
import type { Signature } from '../../../src/core/record/signed.js';
import { bedside, readControls, START } from '../../support/bedside.js';
import { fhirFaults } from '../../support/fhir.js';

const MASKED: Disclosure = { identifiers: 'masked', staff: 'named' };
const AT = '2026-11-25T09:20:00.000Z';

const signature = (personId: string, meaning: Signature['meaning']): Signature => ({
  ...{ personId, name: 'Corvin Lanternquay', at: AT, meaning },
  recordHash: 'a'.repeat(64),
});

/** The bedside run with everything that can stand in a copy. */
function source(changes: Partial<RunSource> = {}): RunSource {
  const { protocol, events, subjects, containers } = bedside((scribe) => {
    scribe.add('attested', {
      subject: 'core-1',
      statement: 'I took it from Ada Quill.',
      signature: signature('c', 'responsibility'),
    });
    scribe.steps();
    scribe.add('temperature-read', { step: 'dye', value: 21.5, unit: 'Cel' });
    readControls(scribe, ['negative']);
    scribe.add('subject-spoiled', { subject: 'control-negative', what: 'dried' });
  });
  const kept = subjects.map(({ id, kind, label }) => ({
    id,
    kind,
    label,
    description: kind,
    parentId: null,
    takenAt: null,
  }));
  return {
    laboratory: { id: 'outer-quill', name: 'Saltmarrow Hospital' },
    run: {
      ...{ id: 'r1', station: 'Ultrasound 1', purpose: 'patients', startedAt: START, personId: 'tech' },
      revision: { id: 'v1', number: 3, content: protocol },
      subjects: subjects.map(({ id, role, control, kind, label }) => ({
        ...{ id: `in-${id}`, subjectId: id, role, kind, label, description: kind, takenAt: null },
        ...(control === null ? {} : { control }),
      })),
      ...{ events, containers, words: {}, people: {}, pictures: [] },
    } as unknown as RunSource['run'],
    subjects: [...kept, { ...kept[0]!, id: 'slide-1', kind: 'slide', parentId: 'core-1', takenAt: START }],
    identifiers: [
      { ownerId: 'core-1', kind: 'patient number', value: 'PN-7731' },
      { ownerId: 'core-1', kind: 'patient name', value: 'Ada Quill' },
      { ownerId: 'core-1', kind: 'birth date', value: '1951-02-03' },
    ],
    lots: containers.map(({ lot }) => ({ id: lot.id, source: 'Tidewater Reagents (invented)', expiry: '2026-12-31' })),
    reagents: {},
    instruments: [{ id: 'i1', code: 'TH-04', name: 'Thermometer', kind: 'thermometer', serial: '0099' }],
    releases: [
      {
        ...{ id: 'rel-1', subjectId: 'core-1', point: 'adequacy', kind: 'adequacy', verdict: 'held', amends: null },
        signature: signature('c', 'release'),
        exception: { findings: ['x'], reason: 'Looked at by two.', second: signature('d', 'approval') },
        withdrawal: { at: AT, reason: 'Mixed up.', signature: signature('c', 'responsibility') },
      },
      {
        ...{ id: 'rel-2', subjectId: 'core-1', point: 'adequacy', kind: 'adequacy', verdict: 'clear', amends: 'rel-1' },
        ...{ signature: signature('c', 'release'), exception: null, withdrawal: null },
      },
    ],
    entries: [
      { seq: 7, at: START, act: 'run.started', personId: 'tech', deviceId: null, hash: 'b'.repeat(64) },
      { seq: 8, at: AT, act: 'run.released', personId: 'c', deviceId: null, hash: 'c'.repeat(64) },
      { seq: 9, at: AT, act: 'run.noted', personId: null, deviceId: 'dev', hash: 'd'.repeat(64) },
    ],
    people: { tech: 'Tansy Pebbleworth', c: 'Corvin Lanternquay', d: 'Isolde Fathomgate' },
    devices: { dev: 'Bench tablet' },
    ...changes,
  };
}

function all<T extends Resource>(bundle: Bundle, type: T['resourceType']): T[] {
  return (bundle.entry ?? []).flatMap(({ resource }) => (resource?.resourceType === type ? [resource as T] : []));
}

describe('A run as a FHIR R4 bundle', () => {
  const bundle = runBundle(source(), MASKED);

  it('holds by two libraries of the standard, whatever it tells of people', () => {
    const disclosures = (['left out', 'masked', 'included'] as const).flatMap((identifiers) =>
      (['named', 'masked'] as const).map((staff) => ({ identifiers, staff })),
    );
    for (const disclosure of disclosures) expect(fhirFaults(runBundle(source(), disclosure))).toEqual([]);
    const bare = source({ identifiers: [], instruments: [], releases: [], entries: [], lots: [] });
    expect(fhirFaults(runBundle({ ...bare, run: { ...bare.run, events: [], containers: [] } }, MASKED))).toEqual([]);
  });

  it.each<[string, (broken: Bundle) => void, RegExp]>([
    [
      'a procedure without its status',
      (broken) => delete (all<Procedure>(broken, 'Procedure')[0] as Partial<Procedure>).status,
      /status/,
    ],
    [
      'a status that there is not',
      (broken) => void (all<Procedure>(broken, 'Procedure')[0]!.status = 'cleared' as 'completed'),
      /"cleared" not found/,
    ],
    [
      'a signature of an unknown type',
      (broken) => void (all<Provenance>(broken, 'Provenance')[0]!.signature![0]!.type[0]!.code = '1.2.3'),
      /1\.2\.3/,
    ],
    [
      'a time that is none',
      (broken) =>
        void (all<Specimen>(broken, 'Specimen')[0]!.processing![0]!.timePeriod = { start: '2026-11-25 09:00' }),
      /Invalid dateTime format/,
    ],
    [
      'a key that there is not',
      (broken) => void Object.assign(all<Substance>(broken, 'Substance')[0]!, { lot: '7' }),
      /lot/,
    ],
    ['two things with one address', (broken) => void broken.entry!.push(broken.entry![0]!), /bdl-7/],
    [
      'a reference to nothing',
      (broken) => void all<Procedure>(broken, 'Procedure')[0]!.usedReference!.push({ reference: 'urn:uuid:0' }),
      /nothing is at urn:uuid:0/,
    ],
  ])('does not hold with %s', (_what, breakIt, told) => {
    // Not structuredClone, whose lists are none to a library that asks for this realm's.
    const broken = JSON.parse(JSON.stringify(bundle)) as Bundle;
    breakIt(broken);
    expect(fhirFaults(broken).join('\n')).toMatch(told);
  });

  it('gives each step as processing with its time, and containers as substances with lot and the end of their use', () => {
    const [core] = all<Specimen>(bundle, 'Specimen');
    const { steps } = source().run.revision.content;
    expect(core!.processing!.map(({ procedure }) => procedure?.coding?.[0]?.code)).toEqual(steps.map(({ id }) => id));
    const dye = core!.processing!.find(({ procedure }) => procedure?.coding?.[0]?.code === 'dye')!;
    expect(dye.timePeriod!.start).toMatch(/^2026-11-25T09:\d\d:\d\d\.\d{3}Z$/);
    const { fullUrl, resource } = bundle.entry!.find((each) => each.fullUrl === dye.additive![0]!.reference)!;
    expect(resource).toMatchObject({
      resourceType: 'Substance',
      instance: [{ identifier: { value: 'QUILL-acridine-orange-working' }, expiry: '2027-01-01T00:00:00.000Z' }],
    });
    expect(fullUrl).toBe(`urn:uuid:${resource!.id}`);
    const spoiled = all<Specimen>(bundle, 'Specimen').filter(({ status }) => status === 'unsatisfactory');
    expect(spoiled.map(({ identifier }) => identifier?.[0]?.value)).toEqual(['SW1:S:negative']);
    const slide = all<Specimen>(bundle, 'Specimen').at(-1)!;
    expect([slide.parent?.[0]?.reference, slide.processing]).toEqual([`urn:uuid:${core!.id}`, undefined]);
  });

  it('gives controls, temperatures in UCUM and who signed what', () => {
    const told = all<Observation>(bundle, 'Observation').map(
      (each) => each.interpretation?.[0]?.coding?.[0]?.code ?? each.valueQuantity,
    );
    const temperature = { value: 21.5, unit: 'Cel', system: 'http://unitsofmeasure.org', code: 'Cel' };
    expect(told).toEqual(['N', 'A', 'N', temperature]);
    const signed = all<Provenance>(bundle, 'Provenance').map(({ activity, signature: by, entity }) => [
      activity?.text,
      by!.map(({ type }) => type[0]!.display),
      entity?.[0]?.role,
    ]);
    expect(signed).toEqual([
      ['identity attested', ['Event Witness Signature'], undefined],
      ['adequacy released at adequacy', ['Validation Signature', 'Verification Signature'], undefined],
      ['release withdrawn', ['Event Witness Signature'], 'removal'],
      ['adequacy released at adequacy', ['Validation Signature'], 'revision'],
    ]);
  });

  it('tells of people what it may, and no more', () => {
    const text = (disclosure: Disclosure): string => JSON.stringify(runBundle(source(), disclosure));
    const secrets = ['PN-7731', 'Ada Quill', '1951-02-03'];
    for (const identifiers of ['left out', 'masked'] as const) {
      for (const secret of secrets) expect(text({ identifiers, staff: 'named' })).not.toContain(secret);
    }
    for (const secret of secrets) expect(text({ identifiers: 'included', staff: 'named' })).toContain(secret);
    for (const name of Object.values(source().people))
      expect(text({ identifiers: 'masked', staff: 'masked' })).not.toContain(name);
    expect(all<Practitioner>(bundle, 'Practitioner').map(({ name }) => name?.[0]?.text)).toEqual(
      Object.values(source().people),
    );
    expect(all<Patient>(runBundle(source(), { identifiers: 'left out', staff: 'named' }), 'Patient')).toEqual([]);
  });

  it('takes specimens with one patient number for one person, and several people for a group', () => {
    const { run, subjects, identifiers } = source();
    const second = (value: string): RunSource => ({
      ...source(),
      run: { ...run, subjects: [...run.subjects, { ...run.subjects[0]!, id: 'in-core-2', subjectId: 'core-2' }] },
      subjects: [...subjects, { ...subjects[0]!, id: 'core-2' }],
      identifiers: [...identifiers, { ownerId: 'core-2', kind: 'patient number', value }],
    });
    const count = (of: RunSource) => {
      const made = runBundle(of, MASKED);
      expect(fhirFaults(made)).toEqual([]);
      return [all(made, 'Patient').length, all(made, 'Group').length];
    };
    expect([count(second('PN-7731')), count(second('PN-8842'))]).toEqual([
      [1, 0],
      [2, 1],
    ]);
  });

  it('is the same for the same facts', () => {
    expect(runBundle(source(), MASKED)).toEqual(bundle);
    expect(bundle.timestamp).toBe(AT);
    // Neither library minds a time without a zone, which FHIR R4 forbids (datatypes.html#dateTime).
    const times = [...JSON.stringify(bundle).matchAll(/"(\d{4}-\d\d-\d\dT[^"]*)"/g)].map(([, time]) => time);
    expect(times.length).toBeGreaterThan(40);
    for (const time of times) expect(time).toMatch(/^[^+]{19}\.\d{3}Z$/);
  });
});

describe('A UUID by name', () => {
  it('is that of RFC 9562, appendix B.2', () => {
    const uuid = namedUuid('6ba7b810-9dad-11d1-80b4-00c04fd430c8', 'www.example.com');
    expect(uuid).toBe('5c146b14-3c52-8afd-938a-375d0df1fbf6');
  });
});
