import { readFileSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { decode, encode } from 'fast-png';
import type { FileDto } from '../../src/contract/files.dto.js';
import type { PictureDto, PictureListDto } from '../../src/contract/pictures.dto.js';
import { RUIFROK_JOHNSTON } from '../../src/core/stain-image/deconvolution.js';
import { measurePicture } from '../../src/jobs/measure-picture.js';
import { ControlValueRow, SeriesRow } from '../../src/store/rows/control-results.entity.js';
import { JobRow } from '../../src/store/rows/jobs.entity.js';
import { MeasurementRow, PictureProgressRow } from '../../src/store/rows/pictures.entity.js';
import { type Client, LABORATORY, startApp, type TestApp } from '../support/app.js';
import { placesIn } from '../support/checkpoints.js';
import { freshSqlite, type FreshDatabase } from '../support/databases.js';
import { upload } from '../support/upload.js';

type Refused = { code: string; detail: string; problems?: { at: string; message: string }[] };

const vectors = new URL('../vectors/', import.meta.url);
// Figures of the reference, made with numpy: the source stands in the file.
const { cases } = JSON.parse(readFileSync(new URL('stainimage.json', vectors), 'utf8')) as {
  cases: {
    file?: string;
    expected: {
      stains: Record<string, Record<'mean' | 'median' | 'p95' | 'fractionAbove0p15', number>>;
      focus: { varianceOfLaplacian: number };
    };
  }[];
};
const micrograph = cases.find(({ file }) => file !== undefined);

describe('Pictures', () => {
  let database: FreshDatabase;
  let folder: string;
  let test: TestApp;
  let technician: Client;

  beforeAll(async () => {
    database = await freshSqlite();
    folder = await mkdtemp(join(tmpdir(), 'stainwright-pictures-'));
    test = await startApp(database, { config: { filesDir: folder } });
    technician = await test.as('technician', 'manager');
  });

  afterAll(async () => {
    await test.stop();
    await database.drop();
    await rm(folder, { recursive: true, force: true });
  });

  const kept = async (name: string, content: Uint8Array): Promise<string> =>
    (await upload<FileDto>(technician, name, content)).body.id;
  const take = (body: object) => technician.post<PictureDto & Refused>('/api/pictures', body);
  const look = async (id: string) => (await technician.get<PictureDto>(`/api/pictures/${id}`)).body;
  const work = (id: string) =>
    measurePicture(id, {
      store: test.store,
      clock: test.clock,
      checkpoints: placesIn(folder),
      filesDir: folder,
      mail: null,
      laboratoryId: LABORATORY,
    });
  const rows = <T extends { laboratoryId: string }>(row: new () => T) =>
    test.store.read(LABORATORY, (view) => view.all(row));

  it('are measured beside, in a thread, with the figures of the reference', async () => {
    const fileId = await kept('ihc.png', readFileSync(new URL('images/ihc-left.png', vectors)));
    const { status, body } = await take({ fileId, measuring: { kind: 'brightfield' }, exposure: { exposureMs: 8 } });
    expect([status, body]).toMatchObject([
      201,
      { state: 'waiting', kind: 'brightfield', measuring: { stains: RUIFROK_JOHNSTON }, exposure: { exposureMs: 8 } },
    ]);
    expect((await rows(JobRow)).filter(({ target }) => target === body.id)).toMatchObject([
      { name: 'measure-picture', state: 'waiting' },
    ]);

    await work(body.id);
    const { state, metrics = {}, width, height, remarks } = await look(body.id);
    expect({ state, width, height, remarks }).toEqual({ state: 'measured', width: 256, height: 512, remarks: [] });
    const { stains, focus } = micrograph!.expected;
    for (const [stain, { mean, median, p95, fractionAbove0p15 }] of Object.entries(stains)) {
      expect(metrics[`${stain}.mean`]).toBeCloseTo(mean, 9);
      expect(metrics[`${stain}.median`]).toBeCloseTo(median, 9);
      expect(metrics[`${stain}.p95`]).toBeCloseTo(p95, 9);
      expect(metrics[`${stain}.area`]).toBeCloseTo(fractionAbove0p15, 9);
    }
    expect(metrics['focus']).toBeCloseTo(focus.varianceOfLaplacian, 6);
    expect(await test.store.read(LABORATORY, (view) => view.count(PictureProgressRow))).toBe(0);

    // A job that is done twice has the effect of one.
    await work(body.id);
    expect((await rows(MeasurementRow)).filter(({ pictureId }) => pictureId === body.id)).toHaveLength(1);
    expect((await technician.get<PictureListDto>('/api/pictures')).body.items).toHaveLength(1);
  });

  it('give their figures to the series that ask for them', async () => {
    const seriesId = await test.store.change(
      { laboratoryId: LABORATORY, personId: null, deviceId: null },
      'series.made',
      async (unit) => {
        const { id } = await unit.insert(SeriesRow, {
          code: 'dab-tonsil',
          level: 'only',
          title: 'DAB of the tonsil',
          unit: '1',
          metric: 'dab.mean',
          rules: { '1-3s': 'reject' },
        });
        unit.about('series', id);
        return id;
      },
    );
    const fileId = await kept('ihc.png', readFileSync(new URL('images/ihc-left.png', vectors)));
    const { body } = await take({
      fileId,
      subject: { kind: 'series', id: seriesId },
      measuring: {
        kind: 'brightfield',
        stains: Object.entries(RUIFROK_JOHNSTON).map(([name, vector]) => ({ name, vector })),
      },
    });
    await work(body.id);
    expect(await rows(ControlValueRow)).toMatchObject([
      { seriesId, fileId, value: expect.closeTo(micrograph!.expected.stains['dab']!.mean, 9) },
    ]);
  });

  it('of fluorescence tell nuclei from background, and shading from an empty field', async () => {
    // Four bright squares of 1800 on 300, darkened towards the right by a known shading.
    const [width, height] = [80, 64];
    const shade = (x: number) => 1 - x / (2 * width);
    const paint = (value: (x: number, y: number) => number) =>
      encode({
        width,
        height,
        channels: 1,
        depth: 16,
        data: Uint16Array.from({ length: width * height }, (_, i) => value(i % width, Math.floor(i / width))),
      });
    const nucleus = (x: number, y: number) => x % 40 < 10 && y % 32 < 10;
    const picture = paint((x, y) => Math.round((nucleus(x, y) ? 1800 : 300) * shade(x) * 10));
    const field = paint((x) => Math.round(6000 * shade(x)));
    const { body } = await take({
      fileId: await kept('glow.png', picture),
      fieldFileId: await kept('empty.png', field),
      measuring: { kind: 'fluorescence', colour: 'green' },
    });
    await work(body.id);
    const { metrics = {}, outline } = await look(body.id);
    // Four nuclei in the corners of their quarters, outlined as the figures parted them: not shading, but what was counted.
    expect(outline).toEqual({ fileId: expect.any(String), metric: 'nuclear-area' });
    const drawn = await fetch(`${test.url}/api/files/${outline!.fileId}`, { headers: technician.headers });
    const { data, ...size } = decode(new Uint8Array(await drawn.arrayBuffer()));
    expect(size).toMatchObject({ width, height, channels: 2 });
    const white = Array.from({ length: width * height }, (_, at) => data[2 * at] === 255 && data[2 * at + 1] === 255);
    // By hand: of 10 by 10 pixels the sides that do not lie on the edge of the picture, two, three, three and four of them.
    const inside = white.filter((each, at) => each && nucleus(at % width, Math.floor(at / width)));
    const perimeter = 19 + 28 + 28 + 36;
    expect([inside.length, white.filter((each) => each).length]).toEqual([perimeter, perimeter]);
    expect(metrics['signal-to-background']).toBeCloseTo(6, 2);
    expect(metrics['nuclear-area']).toBeCloseTo(400 / (width * height), 6);
    // Means of the outermost of 8 tiles of 10 columns.
    expect(metrics['evenness']).toBeCloseTo((1 - 74.5 / 160) / (1 - 4.5 / 160), 3);
    expect(metrics['saturated']).toBe(0);
  });

  it('that cannot be measured say why, and nothing is charted', async () => {
    const whole = readFileSync(new URL('images/ihc-left.png', vectors));
    const cut = await kept('cut.png', whole.subarray(0, 9000));
    const { body } = await take({ fileId: cut, measuring: { kind: 'brightfield' } });
    await work(body.id);
    expect(await look(body.id)).toMatchObject({ state: 'refused', refused: expect.stringContaining('cut off') });
    const grey = await kept(
      'grey.png',
      encode({ width: 8, height: 8, channels: 1, data: new Uint8Array(64).fill(90) }),
    );
    const second = await take({ fileId: grey, measuring: { kind: 'brightfield' } });
    await work(second.body.id);
    expect(await look(second.body.id)).toMatchObject({
      state: 'refused',
      refused: expect.stringContaining('grey picture has no stain colours'),
    });
    expect(await rows(ControlValueRow)).toHaveLength(1);
  });

  it('are refused when what they ask cannot be', async () => {
    const fileId = await kept(
      'x.png',
      encode({ width: 8, height: 8, channels: 3, data: new Uint8Array(192).fill(90) }),
    );
    const pdf = await kept('x.pdf', Buffer.from('%PDF-1.7 invented'));
    const why = async (body: object): Promise<[number, string, string | undefined]> => {
      const answer = await take({ fileId, measuring: { kind: 'brightfield' }, ...body });
      return [answer.status, answer.body.code, answer.body.problems?.[0]?.at];
    };
    const flat = [
      { name: 'one', vector: [1, 0, 0] },
      { name: 'two', vector: [2, 0, 0] },
      { name: 'three', vector: [0, 1, 0] },
    ];
    expect(await why({ fileId: 'none' })).toEqual([422, 'no-picture', 'fileId']);
    expect(await why({ fileId: pdf })).toEqual([422, 'no-picture', 'fileId']);
    expect(await why({ fieldFileId: pdf })).toEqual([422, 'no-picture', 'fieldFileId']);
    expect(await why({ subject: { kind: 'series', id: 'none' } })).toEqual([404, 'not-found', undefined]);
    expect(await why({ measuring: { kind: 'brightfield', stains: flat } })).toEqual([422, 'bad-stains', undefined]);
    expect(await why({ measuring: { kind: 'brightfield', colour: 'red' } })).toEqual([
      422,
      'other-kind',
      'measuring.colour',
    ]);
    expect(await why({ measuring: { kind: 'fluorescence', stains: flat } })).toEqual([
      422,
      'other-kind',
      'measuring.stains',
    ]);
    expect(await why({ exposure: { gain: -1 } })).toEqual([422, 'invalid-input', 'exposure.gain']);
    expect((await technician.get('/api/pictures/none')).status).toBe(404);
  });

  it('whose file is gone wait for it, as the job says', async () => {
    const fileId = await kept('y.png', encode({ width: 9, height: 9, channels: 3, data: new Uint8Array(243).fill(9) }));
    const { body } = await take({ fileId, measuring: { kind: 'brightfield' } });
    await rm(join(folder, body.file.sha256.slice(0, 2)), { recursive: true });
    await expect(work(body.id)).rejects.toThrow('bring');
    expect((await look(body.id)).state).toBe('waiting');
  });
});
