import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { LotDto } from '../../src/contract/stock.dto.js';
import { SHEET_IDS } from '../../src/core/labels/sheets.js';
import { codeModules } from '../../src/reports/code.js';
import type { Client } from '../support/app.js';
import { freshSqlite } from '../support/databases.js';
import { readDataMatrix } from '../support/data-matrix.js';
import { describeWith } from '../support/needs.js';
import { onProgram, test } from '../support/stage.js';

describe('The code on a label', () => {
  it('reads back as our own text by a reader of its own', () => {
    for (const text of ['SW1:C:7K3M-00424', 'SW1:P:ZZ99-AB1C3', 'SW1:C:0123-45678']) {
      expect(readDataMatrix(codeModules(text, 'datamatrix'))).toBe(text);
    }
  });

  it('may be a QR code, whose three corners carry its finder', () => {
    const modules = codeModules('SW1:C:7K3M-00424', 'qrcode');
    const ring = (row: number, column: number): boolean[] =>
      [0, 1, 2, 3].map((n) => modules[row + n]?.[column + n] ?? false);
    const far = modules.length - 7;
    // ISO/IEC 18004: 7 modules, dark, light, then a dark middle of 3.
    for (const [row, column] of [
      [0, 0],
      [far, 0],
      [0, far],
    ] as const) {
      expect(ring(row, column)).toEqual([true, false, true, true]);
    }
  });
});

describeWith('pdftotext', 'Labels as PDF', (pdftotext) => {
  onProgram(freshSqlite);

  let manager: Client;
  let folder: string;

  beforeAll(async () => {
    manager = await test.as('manager');
    folder = mkdtempSync(join(tmpdir(), 'labels-'));
  });

  afterAll(async () => {
    rmSync(folder, { recursive: true });
  });

  const lotOf = async (changes: object): Promise<LotDto> => {
    const { status, body } = await manager.post<LotDto>('/api/lots', {
      ...{ number: 'QUILL-7', source: 'Quill Dyeworks (invented)', expiry: '2027-01-31' },
      ...changes,
    });
    if (status !== 201) throw new Error(JSON.stringify(body));
    return body;
  };
  const pdfOf = async (lot: LotDto, query: string): Promise<{ status: number; pages: string[] }> => {
    const answer = await fetch(`${test.url}/api/lots/${lot.id}/labels.pdf?${query}`, { headers: manager.headers });
    const bytes = Buffer.from(await answer.arrayBuffer());
    if (answer.status !== 200) return { status: answer.status, pages: [bytes.toString()] };
    expect(answer.headers.get('content-type')).toBe('application/pdf');
    const file = join(folder, 'labels.pdf');
    writeFileSync(file, bytes);
    const text = execFileSync(pdftotext, ['-layout', file, '-'], { encoding: 'utf8' });
    return { status: 200, pages: text.split('\f').slice(0, -1) };
  };

  // 42 CFR 493.1252(c) and 29 CFR 1910.1200(f)(6) (the second from memory).
  it('carry identity, strength, storage, dates and the hazards of a secondary container', async () => {
    const lot = await lotOf({
      reagent: 'xylene',
      strength: 'pure',
      storage: '15 to 25 Cel',
      containers: [{ size: '500 mL' }],
    });
    const { pages } = await pdfOf(lot, 'sheet=a4-2x7');
    const text = (pages[0] ?? '').replace(/\s+/g, ' ');
    const [label = ''] = lot.containers.map((each) => each.label);
    for (const part of [
      'Xylene, pure',
      label,
      'Lot QUILL-7, 500 mL',
      'Received 2026-11-25',
      'Expires 2027-01-31',
      'Store 15 to 25 Cel',
      'Danger',
    ]) {
      expect(text).toContain(part);
    }
    for (const code of ['H226', 'H304', 'H312', 'H315', 'H319', 'H332', 'H335', 'H373']) expect(text).toContain(code);
    expect(pages).toHaveLength(1);
  });

  it('begin where the sheet is still whole and go on to the next one', async () => {
    const lot = await lotOf({ reagent: 'saline', number: 'S-1', containers: [{}, {}, {}] });
    expect((await pdfOf(lot, 'sheet=a4-3x8&start=23')).pages).toHaveLength(2);
    const one = await pdfOf(lot, `sheet=a4-3x8&code=qrcode&container=${lot.containers[1]?.id}`);
    expect(one.pages[0]).toContain(lot.containers[1]?.label);
    expect(one.pages[0]).not.toContain(lot.containers[0]?.label);
    for (const sheet of SHEET_IDS) expect((await pdfOf(lot, `sheet=${sheet}`)).status).toBe(200);
  });

  it('are refused where nothing could be read or there is no such label', async () => {
    const lot = await lotOf({ reagent: 'chromic-acid-5', number: 'C-1', containers: [{}] });
    const small = await pdfOf(lot, 'sheet=a4-5x13');
    expect([small.status, JSON.parse(small.pages[0] ?? '{}')]).toMatchObject([422, { code: 'label-too-small' }]);
    expect((await pdfOf(lot, 'sheet=a4-3x8')).status).toBe(200);
    expect((await pdfOf(lot, 'sheet=a4-3x8&start=25')).status).toBe(422);
    expect((await pdfOf(lot, 'sheet=a5')).status).toBe(422);
    await manager.post(`/api/containers/${lot.containers[0]?.id}/state`, { state: 'discarded', reason: 'Broken.' });
    expect((await pdfOf(lot, 'sheet=a4-3x8')).status).toBe(409);
  });
});
