import { beforeEach, expect, it } from '@jest/globals';
import { cp, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { ProtocolSummaryDto, RevisionDto } from '../../src/contract/protocols.dto.js';
import type { Protocol } from '../../src/core/protocol/protocol.js';
import { canonicalText, type Entry, sha256 } from '../../src/core/record/record.js';
import { loadProtocols, readProtocols } from '../../src/modules/protocols/shipped.js';
import { RecordRow } from '../../src/store/rows/record.entity.js';
import { RevisionRow } from '../../src/store/rows/protocols.entity.js';
import { ReagentRow } from '../../src/store/rows/stock.entity.js';
import { type Client, LABORATORY, PASSWORD } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { onProgram, test } from '../support/stage.js';

interface Refused {
  code: string;
  detail: string;
  problems: { at: string; message: string }[];
}

describeOnEachDatabase('Protocols', (fresh) => {
  onProgram(fresh, { each: true });

  let director: Client;

  beforeEach(async () => {
    director = await test.as('director');
  });

  const protocols = async (): Promise<ProtocolSummaryDto[]> =>
    (await director.get<ProtocolSummaryDto[]>('/api/protocols')).body;
  const shipped = async (id = 'ao-fresh'): Promise<RevisionDto> => {
    const found = (await protocols()).find((each) => each.id === id);
    return (await director.get<RevisionDto>(`/api/revisions/${found?.revisions[0]?.id}`)).body;
  };
  const post = async <T = RevisionDto>(client: Client, path: string, body: object, headers = {}): Promise<T> => {
    const answer = await client.post<T>(path, body, { headers });
    if (answer.status >= 300) throw new Error(`${path} answered ${answer.status}: ${JSON.stringify(answer.body)}`);
    return answer.body;
  };
  /** The shipped draft with every proposal confirmed by the laboratory. */
  const confirmed = async (id?: string): Promise<RevisionDto> => {
    const draft = await shipped(id);
    const figures = draft.openProposals.map(({ path }) => ({ path }));
    return post(director, `/api/revisions/${draft.id}/figures`, { figures, note: 'Tried on ten cores.' });
  };
  const verification = { reference: 'VER-2026-7', summary: 'Ten cores judged alike by two readers.' };
  const approval = (effectiveFrom: string) => ({
    effectiveFrom,
    verification,
    newAssessment: true,
    password: PASSWORD,
  });
  const longer = (content: Protocol, target: number): Protocol => {
    const copy = structuredClone(content);
    const [step] = copy.steps;
    if (step) step.time = { target, unit: step.time.unit, status: 'set by this laboratory', window: step.time.window };
    return copy;
  };

  it('are there from the first start, as drafts of the program, with the catalogue', async () => {
    const entry = await test.store.read(LABORATORY, (view) => view.one(RecordRow, { act: 'protocol.loaded' }));
    expect((JSON.parse(entry?.body ?? '{}') as Entry).actor).toEqual({ person: null, device: null });
    const draft = await shipped();
    expect(draft).toMatchObject({ number: 1, state: 'draft', inForce: false, protocolId: 'ao-fresh' });
    expect(draft.acts).toEqual([
      expect.objectContaining({ kind: 'drafted', personId: null, data: { note: 'Shipped with the program.' } }),
    ]);
    // RFC 8785 and FIPS 180-4: the hash of the canonical bytes of the content as answered.
    expect(draft.contentHash).toBe(sha256(canonicalText(draft.content)));
    const reagents = (await director.get<{ code: string }[]>('/api/reagents')).body.map(({ code }) => code);
    for (const { reagent } of draft.content.steps) if (reagent !== undefined) expect(reagents).toContain(reagent);
  });

  it('are loaded again without effect, and as a new draft when a shipped file changed', async () => {
    const dir = await mkdtemp(join(tmpdir(), 'stainwright-protocols-'));
    try {
      await cp('protocols', dir, { recursive: true });
      const count = () => test.store.read(LABORATORY, (view) => view.count(RevisionRow));
      const before = [await count(), await test.store.read(LABORATORY, (view) => view.count(RecordRow))];
      await loadProtocols(test.store, LABORATORY, await readProtocols(dir));
      expect([await count(), await test.store.read(LABORATORY, (view) => view.count(RecordRow))]).toEqual(before);

      const file = join(dir, 'ao-fresh.yaml');
      const text = await readFile(file, 'utf8');
      await writeFile(file, text.replace(/^title: .*$/m, 'title: Changed title'));
      await loadProtocols(test.store, LABORATORY, await readProtocols(dir));
      expect(await shipped()).toMatchObject({ number: 2, title: 'Changed title', state: 'draft' });
      expect(await count()).toBe((before[0] ?? 0) + 1);

      const reagents = () => test.store.read(LABORATORY, (view) => view.count(ReagentRow));
      const known = await reagents();
      await writeFile(file, text.replace(/^title: .*$/m, 'titel: Misspelt'));
      const catalogue = join(dir, 'catalogue.yaml');
      await writeFile(catalogue, (await readFile(catalogue, 'utf8')).replace(/name: (.*)$/m, 'name: Renamed'));
      await expect(readProtocols(dir).then((folder) => loadProtocols(test.store, LABORATORY, folder))).rejects.toThrow(
        /ao-fresh\.yaml:\d+:1 unknown key "titel"/,
      );
      expect([await count(), await reagents()]).toEqual([(before[0] ?? 0) + 1, known]);
    } finally {
      await rm(dir, { recursive: true });
    }
  });

  // 42 CFR 493.1251(d): approved, signed and dated by the director before use. 21 CFR 11.50, 11.70: name, time, meaning
  // and the bond between signature and record.
  it('are approved by the director’s signature once no figure is a proposal', async () => {
    const draft = await shipped();
    expect(draft.openProposals.length).toBeGreaterThan(0);
    const early = await director.post<Refused>(`/api/revisions/${draft.id}/approve`, approval('2026-11-25'));
    expect([early.status, early.body.code]).toEqual([409, 'open-proposals']);
    expect(early.body.problems).toHaveLength(draft.openProposals.length);

    const ready = await confirmed();
    expect(ready).toMatchObject({ number: 2, basedOn: draft.id, openProposals: [], state: 'draft' });
    const manager = await test.as('manager');
    const note = 'Read against the sources.';
    const reviewed = await post(manager, `/api/revisions/${ready.id}/review`, { note, password: PASSWORD });
    expect(reviewed.state).toBe('reviewed');
    expect((await manager.post(`/api/revisions/${ready.id}/approve`, approval('2026-11-25'))).status).toBe(403);
    const wrong = { ...approval('2026-11-25'), password: 'not mine' };
    const refused = await director.post<Refused>(`/api/revisions/${ready.id}/approve`, wrong);
    expect([refused.status, refused.body.code]).toEqual([403, 'wrong-password']);

    const approved = await post(director, `/api/revisions/${ready.id}/approve`, approval('2026-11-25'));
    expect(approved).toMatchObject({ state: 'approved', inForce: true, contentHash: ready.contentHash });
    const { data, person } = approved.acts.at(-1)!;
    expect(person).toBe(data.signature?.name);
    expect(data.signature).toMatchObject({ meaning: 'approval', at: '2026-11-25T09:00:00.000Z' });
    const { signature, ...decided } = data;
    const signed = { act: 'approved', revision: ready.id, contentHash: ready.contentHash, ...decided };
    expect(signature?.recordHash).toBe(sha256(canonicalText(signed)));

    const again = await director.post<Refused>(`/api/revisions/${ready.id}/approve`, approval('2026-11-25'));
    expect([again.status, again.body.code]).toEqual([409, 'revision-approved']);
  });

  // The Azores keep UTC-1 in winter (IANA time zone database): their 1 December begins at 01:00 UTC.
  it('give way to the next approved revision where its local day begins', async () => {
    const first = await confirmed();
    await post(director, `/api/revisions/${first.id}/approve`, approval('2026-11-25'));
    const content = longer(first.content as Protocol, 77);
    const second = await post(director, '/api/protocols/drafts', { content, basedOn: first.id, note: 'Longer.' });
    await post(director, `/api/revisions/${second.id}/approve`, approval('2026-12-01'));
    const states = async () =>
      (await protocols())
        .find(({ id }) => id === 'ao-fresh')
        ?.revisions.map(({ number, state, inForce }) => [number, state, inForce]);
    test.clock.set('2026-12-01T00:59:59.999Z');
    director = await test.as('director');
    expect(await states()).toEqual([
      [3, 'approved', false],
      [2, 'approved', true],
      [1, 'draft', false],
    ]);
    test.clock.set('2026-12-01T01:00:00.000Z');
    expect(await states()).toEqual([
      [3, 'approved', true],
      [2, 'superseded', false],
      [1, 'draft', false],
    ]);
    const acts = (await director.get<RevisionDto>(`/api/revisions/${first.id}`)).body.acts;
    expect(acts.at(-1)).toMatchObject({ kind: 'superseded', data: { by: second.id } });

    await post(director, `/api/revisions/${second.id}/retire`, { note: 'Unsafe.', password: PASSWORD });
    expect((await states())?.map(([, state]) => state)).toEqual(['retired', 'superseded', 'draft']);
  });

  it('refuse a past effective date, an empty verification and a decision that comes too late', async () => {
    const ready = await confirmed();
    const approve = async (changes: object) =>
      (await director.post<Refused>(`/api/revisions/${ready.id}/approve`, { ...approval('2026-11-25'), ...changes }))
        .body;
    expect(await approve({ effectiveFrom: '2026-11-24' })).toMatchObject({ code: 'past-date' });
    expect(await approve({ effectiveFrom: '2026-02-30' })).toMatchObject({ code: 'bad-date' });
    expect(await approve({ effectiveFrom: 'soon' })).toMatchObject({ code: 'invalid-input' });
    expect(await approve({ verification: { reference: 'V', summary: ' ' } })).toMatchObject({
      code: 'no-verification',
    });
    await post(director, `/api/revisions/${ready.id}/retire`, { note: 'Not needed.', password: PASSWORD });
    expect(await approve({})).toMatchObject({ code: 'revision-retired' });
    const nowhere = await director.get<Refused>('/api/revisions/nowhere');
    expect([nowhere.status, nowhere.body.code]).toEqual([404, 'not-found']);
  });

  it('take figures that the laboratory sets, and refuse those that do not go together', async () => {
    const draft = await shipped();
    const index = draft.content.steps.findIndex(({ time }) => time.max !== undefined && time.min !== undefined);
    const { time } = draft.content.steps[index]!;
    const path = ['steps', index, 'time', 'window'];
    const set = (figures: object[]) =>
      director.post<Refused & RevisionDto>(`/api/revisions/${draft.id}/figures`, { figures, note: 'Ours.' });
    const done = await set([{ path, value: { min: time.target / 2, max: time.target * 3 } }]);
    expect(done.body.content.steps[index]?.time).toMatchObject({
      min: time.target / 2,
      max: time.target * 3,
      window: 'set by this laboratory',
    });
    expect((await shipped()).number).toBe(2);
    const upsideDown = await set([{ path, value: { min: time.target * 2 } }]);
    expect([upsideDown.status, upsideDown.body.problems]).toEqual([
      422,
      [{ at: `steps.${index}.time.min`, message: expect.stringContaining('must rise in this order') }],
    ]);
    expect((await set([{ path, value: { max: 'long' } }])).body.problems[0]?.at).toBe(`steps.${index}.time.max`);
    expect((await set([{ path: ['steps', 99, 'time', 'window'] }])).body).toMatchObject({ code: 'no-such-figure' });
    expect((await set([{ path: ['steps', { a: 1 }] }])).body).toMatchObject({ code: 'invalid-input' });
    expect((await protocols()).find(({ id }) => id === 'ao-fresh')?.revisions).toHaveLength(2);
  });

  it('are drafted from YAML text, or refused with line and column of each problem', async () => {
    const text = await readFile('protocols/ao-fresh.yaml', 'utf8');
    const send = (changed: string) =>
      director.post<Refused & RevisionDto & { fileProblems: { line: number; column: number }[] }>(
        '/api/protocols/drafts/from-text',
        { text: changed, fileName: 'ao-fresh.yaml' },
      );
    const line = text.split('\n').findIndex((each) => each.startsWith('title:')) + 1;
    const wrong = await send(text.replace(/^title: .*$/m, 'title: 7'));
    expect(wrong.status).toBe(422);
    expect(wrong.body.problems).toEqual([
      { at: `ao-fresh.yaml:${line}:8`, message: expect.stringContaining('found 7') },
    ]);
    expect(wrong.body.fileProblems).toEqual([expect.objectContaining({ line, column: 8, path: ['title'] })]);
    const right = await send(text.replace(/^title: .*$/m, 'title: Ours'));
    expect([right.status, right.body.number, right.body.title]).toEqual([201, 2, 'Ours']);
  });

  it('refuse a draft that breaks a rule, changes nothing or is of another protocol', async () => {
    const { id, content } = await shipped();
    const draft = async (changed: object, basedOn = id) =>
      (await director.post<Refused>('/api/protocols/drafts', { content: changed, basedOn })).body;
    expect(await draft(content)).toMatchObject({ code: 'unchanged' });
    expect(await draft({ ...content, id: 'quill-blue' })).toMatchObject({ code: 'other-protocol' });
    expect(await draft({ ...content, controls: [] })).toMatchObject({ code: 'faulty-protocol' });
    expect(await draft({ ...content, colour: 'green' })).toMatchObject({
      code: 'invalid-input',
      problems: [{ at: 'content.colour' }],
    });
    expect(await draft({ ...content, title: 'Ours' }, 'nowhere')).toMatchObject({ code: 'not-found' });
    const technician = await test.as('technician');
    expect((await technician.post('/api/protocols/drafts', { content })).status).toBe(403);
  });

  it('are checked while they are written: by form first, then by the rules, and nothing is kept', async () => {
    const { content } = await shipped();
    const check = async (written: object): Promise<[string, string][]> => {
      const { problems } = await post<{ problems: { path: (string | number)[]; message: string }[] }>(
        director,
        '/api/protocols/checks',
        { content: written },
      );
      return problems.map(({ path, message }) => [path.join('/'), message]);
    };
    expect(await check(content)).toEqual([]);
    const steps = structuredClone(content.steps);
    Object.assign(steps[1]?.time ?? {}, { min: 'soon' });
    expect(await check({ ...content, steps })).toEqual([['steps/1/time/min', expect.stringContaining('"soon"')]]);
    Object.assign(steps[1]?.time ?? {}, { min: 3000 });
    expect(await check({ ...content, steps })).toEqual([
      ['steps/1/time/min', expect.stringContaining('must rise in this order')],
    ]);
    const before = (await protocols()).flatMap(({ revisions }) => revisions).length;
    expect(before).toBe((await protocols()).length);
    const technician = await test.as('technician');
    expect((await technician.post('/api/protocols/checks', { content })).status).toBe(403);
  });

  it('have one effect for repeats of one request', async () => {
    const { id, content } = await shipped();
    const body = { content: { ...content, title: 'Ours' }, basedOn: id };
    const once = { 'idempotency-key': 'draft-1' };
    const first = await post(director, '/api/protocols/drafts', body, once);
    const second = await post(director, '/api/protocols/drafts', body, once);
    expect(second.id).toBe(first.id);
    const other = { headers: once };
    const reused = await director.post<Refused>(
      '/api/protocols/drafts',
      { ...body, content: { ...content, title: 'Other' } },
      other,
    );
    expect([reused.status, reused.body.code]).toEqual([409, 'key-reused']);
  });

  it('are compared side by side', async () => {
    const first = await shipped();
    const content = { ...longer(first.content as Protocol, 77), title: 'Ours' };
    const second = await post(director, '/api/protocols/drafts', { content, basedOn: first.id });
    const compare = async (a: string, b: string) =>
      (await director.get<Refused & { differences: object[] }>(`/api/revisions/${a}/compare/${b}`)).body;
    const { differences } = await compare(first.id, second.id);
    expect(differences).toContainEqual({ path: ['title'], a: first.title, b: 'Ours' });
    const [step] = first.content.steps;
    expect(differences).toContainEqual({ path: ['steps', step?.id, 'time', 'target'], a: step?.time.target, b: 77 });
    expect((await compare(first.id, first.id)).differences).toEqual([]);
    expect(await compare(first.id, (await shipped('ihc-dab')).id)).toMatchObject({ code: 'other-protocol' });
  });

  it('are read by whoever is signed in, and by nobody else', async () => {
    const reviewer = await test.as('reviewer');
    expect((await reviewer.get('/api/protocols')).status).toBe(200);
    expect((await test.nobody.get('/api/protocols')).status).toBe(401);
  });
});
