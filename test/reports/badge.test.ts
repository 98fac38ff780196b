import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { expect, it } from '@jest/globals';
import { prepareZXingModule, readBarcodes } from 'zxing-wasm/reader';
import { makeLabel } from '../../src/core/gs1/label.js';
import { badgePdf } from '../../src/reports/badge.js';
import { describeWith } from '../support/needs.js';
import { pagesOf } from '../support/pdf.js';

const LABEL = makeLabel('B', '7K3M-0042');
const LABORATORY = { name: 'Saltmarrow Hospital, Histology', demo: true };

/** What a reader of PDF that is not ours finds, in a folder of its own. */
function inFolder<T>(pdf: Buffer, read: (file: string) => T): T {
  const folder = mkdtempSync(join(tmpdir(), 'badge-'));
  try {
    const file = join(folder, 'badge.pdf');
    writeFileSync(file, pdf);
    return read(file);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

describeWith('pdftotext', 'A badge in print', (pdftotext) => {
  /** The page's size, and the box that holds all of its words, in points. */
  function layout(pdf: Buffer): { page: number[]; box: [number, number, number, number] } {
    const told = inFolder(pdf, (file) => execFileSync(pdftotext, ['-bbox', file, '-'], { encoding: 'utf8' }));
    const [, width, height] = /<page width="([\d.]+)" height="([\d.]+)"/.exec(told) ?? [];
    const words = [...told.matchAll(/<word xMin="(-?[\d.]+)" yMin="(-?[\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)"/g)];
    const all = (n: number): number[] => words.map((word) => Number(word[n]));
    return {
      page: [Number(width), Number(height)],
      box: [Math.min(...all(1)), Math.min(...all(2)), Math.max(...all(3)), Math.max(...all(4))],
    };
  }

  it('is one card of ID-1 (ISO/IEC 7810: 85.60 by 53.98 mm, from memory) with name, laboratory and label', async () => {
    const pdf = await badgePdf({ label: LABEL, person: 'Corvin Lanternquay', laboratory: LABORATORY });
    const pages = pagesOf(pdftotext, pdf);
    expect(pages).toHaveLength(1);
    for (const text of ['Saltmarrow', '(invented)', 'Lanternquay', LABEL]) expect(pages[0]).toContain(text);
    const [width, height] = layout(pdf).page;
    expect(width).toBeCloseTo((85.6 / 25.4) * 72, 1);
    expect(height).toBeCloseTo((53.98 / 25.4) * 72, 1);
  });

  it('has a code that a reader of codes takes for its label', async () => {
    const pdf = await badgePdf({ label: LABEL, person: 'Corvin Lanternquay', laboratory: LABORATORY });
    const picture = inFolder(pdf, (file) => {
      execFileSync(join(dirname(pdftotext), 'pdftoppm'), ['-r', '200', '-png', '-singlefile', file, file]);
      return readFileSync(`${file}.png`);
    });
    const reader = createRequire(import.meta.url).resolve('zxing-wasm/reader/zxing_reader.wasm');
    prepareZXingModule({ overrides: { wasmBinary: new Uint8Array(readFileSync(reader)).buffer } });
    const [code] = await readBarcodes(new Uint8Array(picture), { maxNumberOfSymbols: 1 });
    expect([code?.format, code?.text]).toEqual(['QRCode', LABEL]);
  });

  it.each([
    ['a short name', 'Bo Ell'],
    [
      'a name of many words',
      'Maximiliane Wilhelmine von und zu Quillwater-Saltmarrow de la Tidemeadow Ombersley the Younger',
    ],
    ['one of a single long word', 'Lanternquay'.repeat(18)],
  ])('keeps %s on the one card, whole', async (_, person) => {
    const pdf = await badgePdf({ label: LABEL, person, laboratory: LABORATORY });
    const [only, ...more] = pagesOf(pdftotext, pdf);
    expect(more).toEqual([]);
    expect(only).toContain(LABEL);
    const { page, box } = layout(pdf);
    expect(Math.min(box[0], box[1])).toBeGreaterThanOrEqual(0);
    expect(box[2]).toBeLessThanOrEqual(Number(page[0]));
    expect(box[3]).toBeLessThanOrEqual(Number(page[1]));
  });
});
