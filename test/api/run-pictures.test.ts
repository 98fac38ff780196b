import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from '@jest/globals';
import { encode } from 'fast-png';
import type { FileDto } from '../../src/contract/files.dto.js';
import type { RunPicturesDto } from '../../src/contract/run-pictures.dto.js';
import { besideCase } from '../../src/core/stain-image/taken.js';
import { MeasurementRow, PictureRow } from '../../src/store/rows/pictures.entity.js';
import { RunPictureBackRow } from '../../src/store/rows/run-pictures.entity.js';
import { type Client, LABORATORY, startApp, type TestApp } from '../support/app.js';
import { describeOnEachDatabase, type FreshDatabase } from '../support/databases.js';
import { Bench, type Furnished, furnish } from '../support/furnish.js';
import { upload } from '../support/upload.js';

type Refused = { code: string; problems?: { at: string }[] };

describeOnEachDatabase('Pictures of a run', (fresh) => {
  let database: FreshDatabase;
  let folder: string;
  let test: TestApp;
  let furnished: Furnished;
  let technician: Client;
  let bench: Bench;
  let run: string;
  let shade = 0;

  beforeAll(async () => {
    database = await fresh();
    folder = await mkdtemp(join(tmpdir(), 'stainwright-run-pictures-'));
    test = await startApp(database, { config: { filesDir: folder } });
    furnished = await furnish(test);
    technician = await test.as('technician');
    bench = new Bench(test, technician, furnished);
    run = await bench.start();
  });

  afterAll(async () => {
    await test.stop();
    await database.drop();
    await rm(folder, { recursive: true, force: true });
  });

  const bytes = (): Uint8Array => {
    shade += 1;
    return encode({ width: 9, height: 9, channels: 3, data: new Uint8Array(243).fill(shade) });
  };
  const file = async (content = bytes(), name = 'field.png'): Promise<string> =>
    (await upload<FileDto>(technician, name, content)).body.id;
  const keep = (body: object, of = run) =>
    technician.post<RunPicturesDto & Refused>(`/api/runs/${of}/pictures`, { exposure: {}, ...body });
  const list = async (): Promise<RunPicturesDto> =>
    (await technician.get<RunPicturesDto>(`/api/runs/${run}/pictures`)).body;

  it('stand beside those of controls of the day, the run’s own first, at the same exposure where there is one', async () => {
    const other = await bench.start();
    const far = await file();
    expect(
      (await keep({ subjectId: furnished.controls['positive'], fileId: far, exposure: { exposureMs: 40 } }, other))
        .status,
    ).toBe(201);
    await bench.must(other, 'control-read', {
      control: furnished.controls['positive'],
      observed: 'bright',
      passed: true,
      pictures: [far],
    });
    const [near, unread] = [await file(), await file()];
    await keep({ subjectId: furnished.controls['positive'], fileId: near, exposure: { exposureMs: 8, camera: 'C1' } });
    await keep({ subjectId: furnished.controls['negative'], fileId: unread });
    await bench.must(run, 'control-read', {
      control: furnished.controls['positive'],
      observed: 'bright',
      passed: true,
      pictures: [near],
    });

    const fileId = await file();
    const taken = { subjectId: furnished.core, step: 'dye', fileId, exposure: { exposureMs: 40 } };
    const { status, body } = await keep(taken);
    expect(status).toBe(201);
    expect(body.pictures.map(({ subjectId, role, step }) => [subjectId, role, step])).toEqual([
      [furnished.controls['positive'], 'control', null],
      [furnished.controls['negative'], 'control', null],
      [furnished.core, 'patient', 'dye'],
    ]);
    expect(
      body.controls.map((each) => [each.file.id, each.requirement, each.runId, each.passed, each.exposure]),
    ).toEqual([
      [near, 'positive', run, true, { exposureMs: 8, camera: 'C1' }],
      [far, 'positive', other, true, { exposureMs: 40 }],
      [unread, 'negative', run, null, {}],
    ]);
    expect(besideCase(body.pictures[2]!.exposure, body.controls)?.file.id).toBe(far);
  });

  it('of a patient are never measured, nor a measured one taken for a patient’s', async () => {
    const { fileId } = await test.store.read(LABORATORY, async (view) => {
      const pictures = (await technician.get<RunPicturesDto>(`/api/runs/${run}/pictures`)).body.pictures;
      expect(await view.count(PictureRow)).toBe(0);
      return { fileId: pictures.at(-1)!.file.id };
    });
    const measure = (of: string) =>
      technician.post<Refused>('/api/pictures', { fileId: of, measuring: { kind: 'brightfield' } });
    expect(await measure(fileId)).toMatchObject({ status: 409, body: { code: 'patient-picture' } });
    // The same content under another name is the same picture.
    const again = bytes();
    await keep({ subjectId: furnished.core, fileId: await file(again) });
    expect((await measure(await file(again, 'other.png'))).body.code).toBe('patient-picture');

    const ofControl = bytes();
    expect((await measure(await file(ofControl))).status).toBe(201);
    const wrong = await keep({ subjectId: furnished.core, fileId: await file(ofControl) });
    expect([wrong.status, wrong.body.code]).toEqual([409, 'control-picture']);
    expect(await test.store.read(LABORATORY, (view) => view.count(MeasurementRow))).toBe(0);
  });

  it('are refused when they show nothing of the run, and taken back with a reason once', async () => {
    const fileId = await file();
    const pdf = await file(Buffer.from('%PDF-1.7 invented'), 'x.pdf');
    const why = async (body: object): Promise<[number, string, string | undefined]> => {
      const answer = await keep({ subjectId: furnished.core, fileId, ...body });
      return [answer.status, answer.body.code, answer.body.problems?.[0]?.at];
    };
    expect(await why({ subjectId: 'nobody' })).toEqual([422, 'other-subject', 'subjectId']);
    expect(await why({ step: 'none' })).toEqual([422, 'no-such-step', 'step']);
    expect(await why({ fileId: pdf })).toEqual([422, 'no-picture', 'fileId']);
    expect(await why({ exposure: { gain: -1 } })).toEqual([422, 'invalid-input', 'exposure.gain']);
    expect((await keep({ subjectId: furnished.core, fileId }, 'no-run')).status).toBe(404);

    const before = await list();
    const last = before.pictures.at(-1)!;
    const back = (id: string, reason: string) =>
      technician.post<RunPicturesDto & Refused>(`/api/runs/${run}/pictures/${id}/back`, { reason });
    expect((await back(last.id, '')).status).toBe(422);
    expect((await back('none', 'another slide')).status).toBe(404);
    const after = await back(last.id, 'another slide');
    expect(after.status).toBe(200);
    expect(after.body.pictures).toEqual(before.pictures.slice(0, -1));
    expect((await back(last.id, 'another slide')).body.code).toBe('taken-back-already');
    const kept = await test.store.read(LABORATORY, (view) => view.all(RunPictureBackRow));
    expect(kept).toMatchObject([{ pictureId: last.id, reason: 'another slide' }]);
  });
});
