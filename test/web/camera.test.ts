import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from '@jest/globals';
import bwipjs from 'bwip-js/node';
import { decode } from 'fast-png';
import type { Page } from 'playwright-core';
import { PASSWORD } from '../support/app.js';
import { openPage, signIn } from '../support/browser.js';
import { freshSqlite } from '../support/databases.js';
import { furnish } from '../support/furnish.js';
import { describeWith } from '../support/needs.js';
import { browser, inBrowser, onProgram, test } from '../support/stage.js';

const [WIDTH, HEIGHT] = [640, 480];

const PAPER = { backgroundcolor: 'FFFFFF', padding: 5 };

/** A GS1 Data Matrix as a supplier prints it, drawn by a library that knows nothing of what reads it. */
const drawn = (): Promise<Buffer> =>
  bwipjs.toBuffer({ bcid: 'gs1datamatrix', text: '(01)09521234000884(10)LOT7(17)280331', scale: 8, ...PAPER });

/** A film of one picture that stands still, as YUV4MPEG2, which Chromium takes for a camera. */
function film(png: Uint8Array): Buffer {
  const { width, height, channels, data } = decode(png);
  const light = Buffer.alloc(WIDTH * HEIGHT, 235);
  const [left, top] = [Math.floor((WIDTH - width) / 2), Math.floor((HEIGHT - height) / 2)];
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const at = (y * width + x) * channels;
      light[(top + y) * WIDTH + left + x] = 16 + Math.round((Number(data[at]) * 219) / 255);
    }
  }
  const colour = Buffer.alloc((WIDTH * HEIGHT) / 2, 128);
  const frame = Buffer.concat([Buffer.from('FRAME\n'), light, colour]);
  const head = Buffer.from(`YUV4MPEG2 W${WIDTH} H${HEIGHT} F10:1 Ip A1:1 C420jpeg\n`);
  return Buffer.concat([head, ...Array.from({ length: 10 }, () => frame)]);
}

describeWith('chromium', 'Codes read by a camera', (chromiumPath) => {
  let folder: string;

  inBrowser(chromiumPath, async () => {
    folder = await mkdtemp(join(tmpdir(), 'stainwright-camera-'));
    const file = join(folder, 'code.y4m');
    await writeFile(file, film(await drawn()));
    return [
      '--use-fake-ui-for-media-stream',
      '--use-fake-device-for-media-stream',
      `--use-file-for-fake-video-capture=${file}`,
    ];
  });
  onProgram(freshSqlite);

  beforeAll(async () => {
    await furnish(test);
    await test.createPerson('marl', ['manager', 'technician'], 'Marl Dunewick');
  });
  afterAll(async () => {
    await rm(folder, { recursive: true, force: true });
  });

  async function open(): Promise<{ page: Page; errors: string[] }> {
    const context = await browser.newContext({ viewport: { width: 390, height: 844 } });
    await context.addInitScript(`
      const ask = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
      navigator.mediaDevices.getUserMedia = async (wanted) => (globalThis.camera = await ask(wanted));
    `);
    const opened = await openPage(context);
    await signIn(opened.page, test.url, 'marl', PASSWORD);
    await opened.page.goto(`${test.url}/stock/receive`);
    await opened.page.getByRole('button', { name: 'Use the camera: Scan the code on the box or the bottle' }).click();
    return opened;
  }
  const isRead = async (page: Page): Promise<void> => {
    await page.locator('input[value="2028-03-31"]').waitFor();
    expect(await page.getByRole('textbox', { name: 'Lot number', exact: true }).inputValue()).toBe('LOT7');
    expect(await page.getByRole('dialog').count()).toBe(0);
  };

  it('come with their separators from the camera itself, which is let go', async () => {
    const { page, errors } = await open();
    await isRead(page);
    expect(await page.evaluate('camera.getTracks().map(({ readyState }) => readyState)')).toEqual(['ended']);
    expect(errors).toEqual([]);
  });

  it('come from a photograph where there is no camera, which says when it shows none', async () => {
    const context = await browser.newContext({ viewport: { width: 390, height: 844 } });
    await context.addInitScript(
      'navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException("", "NotAllowedError"))',
    );
    const { page, errors } = await openPage(context);
    await signIn(page, test.url, 'marl', PASSWORD);
    await page.goto(`${test.url}/stock/receive`);
    await page.getByRole('button', { name: /^Use the camera/ }).click();
    const sheet = page.getByRole('dialog');
    await sheet.getByText(/keeps the camera from this page/).waitFor();
    const photograph = sheet.getByLabel('Read it from a photograph');
    const blank = await bwipjs.toBuffer({
      bcid: 'code128',
      text: '1',
      scale: 1,
      height: 1,
      barcolor: 'FFFFFF',
      ...PAPER,
    });
    await photograph.setInputFiles({ name: 'blank.png', mimeType: 'image/png', buffer: blank });
    await sheet.getByText(/^No code could be read/).waitFor();
    await photograph.setInputFiles({ name: 'code.png', mimeType: 'image/png', buffer: await drawn() });
    await isRead(page);
    expect(errors).toEqual([]);
  });
});
