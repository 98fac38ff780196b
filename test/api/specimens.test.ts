import { beforeEach, expect, it } from '@jest/globals';
import type { SubjectDto, SubjectListDto } from '../../src/contract/specimens.dto.js';
import { makeLabel, readLabel } from '../../src/core/gs1/label.js';
import { RecordRow, SealedRow } from '../../src/store/rows/record.entity.js';
import { type Client, LABORATORY } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { onProgram, test } from '../support/stage.js';

interface Refused {
  code: string;
  problems: { at: string; message: string }[];
}

describeOnEachDatabase('Specimens', (fresh) => {
  onProgram(fresh, { each: true });

  let technician: Client;

  beforeEach(async () => {
    technician = await test.as('technician');
  });

  const core = (changes: object = {}) => ({
    kind: 'specimen',
    description: 'core, neck lymph node, left',
    takenAt: '2026-11-25T08:55:00.000Z',
    irreplaceable: true,
    ...changes,
  });
  const register = async (changes: object = {}): Promise<SubjectDto> => {
    const { status, body } = await technician.post<SubjectDto>('/api/subjects', core(changes));
    if (status !== 201) throw new Error(JSON.stringify(body));
    return body;
  };
  const refusal = async (changes: object): Promise<[number, string, string | undefined]> => {
    const { status, body } = await technician.post<Refused>('/api/subjects', core(changes));
    return [status, body.code, body.problems?.[0]?.at];
  };
  const identifiers = [
    { kind: 'patient number', value: 'OQ-000417' },
    { kind: 'patient name', value: 'Quillan Testperson' },
  ];

  it('registers a specimen and slides of it, with labels of their kind', async () => {
    const specimen = await register();
    const slide = await register({
      kind: 'slide',
      parentId: specimen.id,
      description: 'touch imprint',
      takenAt: undefined,
    });
    const kinds = [specimen, slide].map(({ label }) => readLabel(label));
    expect(kinds).toEqual([
      { valid: true, kind: 'S', id: expect.any(String) },
      { valid: true, kind: 'L', id: expect.any(String) },
    ]);
    const { body } = await technician.get<SubjectDto>(`/api/subjects/${specimen.id}`);
    expect(body).toMatchObject({ takenAt: '2026-11-25T08:55:00.000Z', irreplaceable: true, parentId: null });
    expect(body.pieces.map(({ id }) => id)).toEqual([slide.id]);
    const list = async (query: string) =>
      (await technician.get<SubjectListDto>(`/api/subjects${query}`)).body.items.map(({ id }) => id);
    expect(await list('')).toEqual([slide.id, specimen.id]);
    expect(await list(`?label=${specimen.label}`)).toEqual([specimen.id]);
    expect(await list(`?parentId=${specimen.id}`)).toEqual([slide.id]);
    expect((await technician.get('/api/subjects/nowhere')).status).toBe(404);
  });

  // PRE-analytical times of breast tissue (ASCO-CAP HER2 2013/2018): recorded, and never guessed.
  it('keeps when a specimen went into fixative and came out, once, or anew with a reason', async () => {
    const { id, cytology, tissueTest } = await register({ tissueTest: 'breast receptors' });
    expect([cytology, tissueTest]).toEqual([null, 'breast receptors']);
    test.clock.forward(86_400_000);
    technician = await test.as('technician');
    const moment = async (body: object): Promise<[number, string | undefined]> => {
      const answer = await technician.post<SubjectDto & Refused>(`/api/subjects/${id}/moments`, body);
      return [answer.status, answer.body.code];
    };
    const into = { kind: 'into fixative', at: '2026-11-25T09:10:00.000Z', fixative: 'nbf-10' };
    const out = { kind: 'out of fixative', at: '2026-11-25T19:00:00.000Z' };
    expect(await moment(out)).toEqual([422, 'never-in']);
    expect(await moment({ ...into, fixative: 'saline' })).toEqual([422, 'no-fixative']);
    expect(await moment({ ...into, at: '2026-11-25T08:00:00.000Z' })).toEqual([422, 'before-taken']);
    expect(await moment(into)).toEqual([201, undefined]);
    expect(await moment(into)).toEqual([409, 'said-already']);
    expect(await moment({ ...into, at: '2026-11-25T09:05:00.000Z', reason: 'the pot says so' })).toEqual([
      201,
      undefined,
    ]);
    expect(await moment(out)).toEqual([201, undefined]);
    expect(await moment({ kind: 'out of the body', at: '2026-11-25T08:50:00.000Z' })).toEqual([409, 'said-already']);
    const { body } = await technician.get<SubjectDto>(`/api/subjects/${id}`);
    expect(body.moments.map(({ kind, at, fixative, reason }) => [kind, at.slice(11, 16), fixative, reason])).toEqual([
      ['into fixative', '09:10', 'nbf-10', null],
      ['into fixative', '09:05', 'nbf-10', 'the pot says so'],
      ['out of fixative', '19:00', null, null],
    ]);
    expect(await refusal({ kind: 'control', takenAt: undefined, cytology: 'gynaecological' })).toEqual([
      422,
      'control-as-patient',
      'kind',
    ]);
  });

  it('keeps the patient out of the record, and from those who need not know', async () => {
    const { id } = await register({ identifiers });
    const entry = await test.store.read(LABORATORY, (view) =>
      view.one(RecordRow, { subjectKind: 'subject', subjectId: id }),
    );
    expect(entry?.body).not.toMatch(/Quillan|OQ-000417/);
    const sealed = await test.store.read(LABORATORY, (view) => view.all(SealedRow, { ownerId: id }));
    expect(sealed.map(({ kind, value }) => ({ kind, value }))).toEqual(identifiers);
    const shown = async (client: Client) => (await client.get<SubjectDto>(`/api/subjects/${id}`)).body.identifiers;
    for (const role of ['technician', 'releaser', 'director'] as const) {
      expect(await shown(await test.as(role))).toEqual(identifiers);
    }
    for (const role of ['manager', 'reviewer', 'administrator'] as const) {
      expect(await shown(await test.as(role))).toBeUndefined();
    }
    const listed = await technician.get<SubjectListDto>('/api/subjects');
    expect(JSON.stringify(listed.body)).not.toMatch(/Quillan|OQ-000417/);
  });

  it('takes a label that is right and on nothing else', async () => {
    const label = makeLabel('S', '7K3M-0042');
    expect((await register({ label: label.toLowerCase() })).label).toBe(label);
    expect(await refusal({ label })).toEqual([409, 'label-taken', 'label']);
    expect(await refusal({ label: makeLabel('L', '7K3M-0043') })).toEqual([422, 'other-kind', 'label']);
    expect(await refusal({ label: `${label.slice(0, -1)}${label.endsWith('X') ? 'Y' : 'X'}` })).toEqual([
      422,
      'bad-label',
      'label',
    ]);
    const slideLabel = makeLabel('L', '7K3M-0043');
    expect((await register({ kind: 'control', label: slideLabel })).label).toBe(slideLabel);
  });

  it('refuses what cannot be', async () => {
    const specimen = await register();
    const slide = await register({ kind: 'slide', parentId: specimen.id });
    expect(await refusal({ takenAt: '2026-11-25T09:00:00.001Z' })).toEqual([422, 'future', 'takenAt']);
    expect(await refusal({ takenAt: '2026-02-30T09:00:00.000Z' })).toEqual([422, 'invalid-input', 'takenAt']);
    expect(await refusal({ parentId: 'nowhere', kind: 'slide' })).toEqual([404, 'not-found', undefined]);
    expect(await refusal({ parentId: specimen.id })).toEqual([422, 'specimen-with-parent', 'parentId']);
    expect(await refusal({ parentId: slide.id, kind: 'slide' })).toEqual([422, 'piece-of-slide', 'parentId']);
    expect(await refusal({ kind: 'control', identifiers })).toEqual([422, 'control-with-patient', 'identifiers']);
    expect(await refusal({ kind: 'block' })).toEqual([422, 'invalid-input', 'kind']);
    const twice = [identifiers[0], identifiers[0]];
    expect(await refusal({ identifiers: twice })).toEqual([422, 'invalid-input', 'identifiers']);
    expect(await refusal({ description: 'x'.repeat(301) })).toEqual([422, 'invalid-input', 'description']);
  });

  it('is found by scanning its label, without the patient', async () => {
    const { id, label } = await register({ identifiers });
    const { body } = await technician.post<object>('/api/scan', { text: label });
    expect(body).toMatchObject({ kind: 'subject', subject: { id, description: 'core, neck lymph node, left' } });
    expect(JSON.stringify(body)).not.toMatch(/Quillan|OQ-000417/);
  });

  it('is found by its label typed as pages print it, unless nothing carries such a label', async () => {
    const { id, label } = await register();
    const scanned = async (text: string) => (await technician.post<object>('/api/scan', { text })).body;
    const printed = label.slice('SW1:S:'.length);
    expect(await scanned(printed)).toMatchObject({ kind: 'subject', subject: { id } });
    expect(await scanned(` ${printed.toLowerCase()} `)).toMatchObject({ kind: 'subject', subject: { id } });
    const nobodys = makeLabel('S', 'NEVER-G1VEN').slice('SW1:S:'.length);
    expect(await scanned(nobodys)).toMatchObject({ kind: 'unknown', message: expect.stringContaining(nobodys) });
  });

  it('has one effect for repeats of one request, also at the same time', async () => {
    const headers = { 'idempotency-key': 'subject-1' };
    const ids = await Promise.all(
      [1, 2, 3].map(async () => (await technician.post<SubjectDto>('/api/subjects', core(), { headers })).body.id),
    );
    expect(new Set(ids).size).toBe(1);
  });

  it('is registered by those who work with it, and read by whoever is signed in', async () => {
    const reviewer = await test.as('reviewer');
    expect((await reviewer.post('/api/subjects', core())).status).toBe(403);
    expect((await reviewer.get('/api/subjects')).status).toBe(403);
    expect((await test.nobody.get('/api/subjects')).status).toBe(401);
  });
});
