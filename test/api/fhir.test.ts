import { beforeAll, expect, it } from '@jest/globals';
import type { Bundle } from '@medplum/fhirtypes';
import { type Client, PASSWORD } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { fhirFaults } from '../support/fhir.js';
import { Bench, furnish } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

describeOnEachDatabase('A run in FHIR', (fresh) => {
  onProgram(fresh);

  let technician: Client;
  let runId: string;
  let core: string;

  beforeAll(async () => {
    const furnished = await furnish(test);
    technician = await test.as('technician');
    const releaser = await test.as('releaser');
    const thermometer = {
      code: 'TH-04',
      name: 'Thermometer',
      kind: 'thermometer',
      calibrated: false,
      station: 'Ultrasound 1',
    };
    const manager = await test.as('manager');
    await manager.post('/api/instruments', thermometer);
    const identifiers = [
      { kind: 'patient number', value: 'PN-7731' },
      { kind: 'patient name', value: 'Ada Quill' },
    ];
    const specimen = { kind: 'specimen', description: 'core', irreplaceable: true, identifiers };
    core = (await technician.post<{ id: string }>('/api/subjects', specimen)).body.id;
    const bench = new Bench(test, technician, { ...furnished, core });
    runId = await bench.start();
    await bench.play(runId);
    const release = { subjectId: core, point: 'adequacy', kind: 'adequacy', words: 'Adequate.', password: PASSWORD };
    const { status, body } = await releaser.post(`/api/runs/${runId}/releases`, release);
    if (status !== 201) throw new Error(JSON.stringify(body));
  });

  const get = (client: Client, query = '') => client.get<Bundle & { code: string }>(`/api/runs/${runId}/fhir${query}`);

  it('holds by the standard, with steps, lots, signatures and entries of the record', async () => {
    const { status, headers, body } = await get(technician);
    expect([status, headers.get('content-type')]).toEqual([
      200,
      'application/fhir+json; charset=utf-8; fhirVersion=4.0',
    ]);
    expect(fhirFaults(body)).toEqual([]);
    const counts: Record<string, number> = {};
    for (const { resource } of body.entry ?? []) {
      const type = resource?.resourceType ?? '';
      counts[type] = (counts[type] ?? 0) + 1;
    }
    const { length: entries } = (await technician.get<{ events: object[] }>(`/api/runs/${runId}`)).body.events;
    // Its start and its release beside its events; the thermometer and the bench that took the times.
    expect(counts).toMatchObject({ Procedure: 1, Patient: 1, Provenance: 1, AuditEvent: entries + 2, Device: 2 });
    const text = JSON.stringify(body);
    expect(text).toContain('QUILL-acridine-orange-working');
    expect(text).not.toMatch(/PN-7731|Ada Quill/);
    expect((await get(technician)).body).toEqual(body);
  });

  it('tells patients only whom it may', async () => {
    const { body } = await get(technician, '?identifiers=included&staff=masked');
    expect(fhirFaults(body)).toEqual([]);
    expect(JSON.stringify(body)).toMatch(/PN-7731.*Ada Quill/);
    for (const role of ['manager', 'administrator'] as const) {
      const other = await test.as(role);
      const refused = await get(other, '?identifiers=included');
      expect([refused.status, refused.body.code]).toEqual([403, 'identifiers-not-allowed']);
    }
    expect((await get(technician, '?identifiers=all')).status).toBe(422);
    expect((await technician.get('/api/runs/made-up/fhir')).status).toBe(404);
  });
});
