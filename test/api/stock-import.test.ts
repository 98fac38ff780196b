import { beforeAll, describe, expect, it } from '@jest/globals';
import { parse } from 'csv-parse/sync';
import { readSheet } from 'read-excel-file/node';
import writeXlsxFile from 'write-excel-file/node';
import type { ImportedDto, OnHandListDto } from '../../src/contract/ledger.dto.js';
import type { LotListDto } from '../../src/contract/stock.dto.js';
import { type Client } from '../support/app.js';
import { freshSqlite } from '../support/databases.js';
import { onProgram, test } from '../support/stage.js';

interface Refused {
  code: string;
  detail: string;
  problems?: { at: string; message: string }[];
}

const CSV = 'text/csv';
const XLSX = 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet';
const HEADING = 'reagent,lot number,expiry,amount,unit,containers,serial,supplier,price,place,opened,accepted';
const GOOD = 'eosin-y-alcoholic,TARN-1,2027-06-30,500,mL,2,,Tarn & Wick supply,24.50,,,';

describe('Opening stock', () => {
  onProgram(freshSqlite);

  let manager: Client;

  beforeAll(async () => {
    manager = await test.as('manager');
  });

  async function send(
    file: string | Uint8Array<ArrayBuffer>,
    query = '',
    { type = CSV, key, as = manager }: { type?: string; key?: string; as?: Client } = {},
  ): Promise<{ status: number; body: ImportedDto & Refused }> {
    const headers = { ...as.headers, 'content-type': type, ...(key === undefined ? {} : { 'idempotency-key': key }) };
    const answer = await fetch(`${test.url}/api/stock/import${query}`, { method: 'POST', headers, body: file });
    return { status: answer.status, body: (await answer.json()) as ImportedDto & Refused };
  }
  const table = (...rows: string[]) => [HEADING, ...rows, ''].join('\r\n');
  const lotsOf = async (number: string) => (await manager.get<LotListDto>(`/api/lots?number=${number}`)).body.items;

  it('is told by a dry run and taken by the same file, containers, price, opening and acceptance with it', async () => {
    const file = table(
      'eosin-y-alcoholic,TARN-7,2027-06-30,500,mL,2,,Tarn & Wick supply,24.50,,,',
      'acridine-orange-working,QUILL-9,2027-01,0.1,L,,SN-1,Quill Dyeworks,,,2026-11-20,in use and controlled before',
      '',
    );
    const dry = await send(file, '?dryRun=true');
    expect(dry).toMatchObject({
      status: 200,
      body: { dryRun: true, rows: 2, right: 2, lots: 2, containers: 3, taken: false, bad: [] },
    });
    expect(await lotsOf('TARN-7')).toEqual([]);
    expect(await send(file)).toMatchObject({ status: 200, body: { taken: true, lots: 2, containers: 3 } });
    const [eosin] = await lotsOf('TARN-7');
    expect(eosin).toMatchObject({ source: 'Tarn & Wick supply', standing: 'quarantined' });
    expect(eosin?.containers).toHaveLength(2);
    const [dye] = await lotsOf('QUILL-9');
    expect(dye).toMatchObject({ standing: 'accepted', decisions: [{ reason: 'in use and controlled before' }] });
    // The Azores keep UTC-1 in winter (IANA time zone database): the day of opening begins at 01:00Z.
    expect(dye?.containers[0]).toMatchObject({
      serial: 'SN-1',
      state: 'opened',
      states: [{ at: '2026-11-20T01:00:00.000Z' }],
    });
    const stock = (await manager.get<OnHandListDto>('/api/stock/on-hand')).body.items;
    expect(stock.map(({ reagent, total, valueCents }) => [reagent, total.value, valueCents])).toEqual([
      ['acridine-orange-working', 100, 0],
      ['eosin-y-alcoholic', 1_000, 4_900],
    ]);
  });

  it('reports every bad row by number and field, and takes nothing', async () => {
    const file = table(
      GOOD,
      'eosin-y-alcoholik,A,2027-06-30,-500,mL,1,,Tarn,,,,',
      'eosin-y-alcoholic,B,2027-02-30,500,mL,1,,Tarn,,,,',
      'eosin-y-alcoholic,C,2027-06-30,500,g,1,,Tarn,,,,',
      'eosin-y-alcoholic,D,2027-06-30,-5,mL,1.5,,Tarn,,,,',
      'eosin-y-alcoholic,E,2027-06-30,"1,5",mL,1,,Tarn,1.234,,,',
      'eosin-y-alcoholic,F,2027-06-30,5,mL,2,S,Tarn,,,2027-01-01,',
      ',,,,,,S,,,,,',
      'eosin-y-alcoholic,TARN-1,2027-07-31,5,mL,1,,Tarn,,,,',
      'acridine-orange-working,X,2027-06-30,5,mL,1,SN-1,Quill,,,,',
      'eosin-y-alcoholic,P,2027-06-30,5,mL,1,,Tarn,,no-such-place,,',
    );
    const { status, body } = await send(file, '?dryRun=true');
    expect(status).toBe(200);
    expect(body).toMatchObject({ rows: 11, right: 1, taken: false });
    expect(body.bad.map(({ row, field }) => `${row} ${field}`)).toEqual([
      '3 reagent',
      '3 amount',
      '4 expiry',
      '5 unit',
      '6 amount',
      '6 containers',
      '7 amount',
      '7 price',
      '8 serial',
      '8 opened',
      '9 reagent',
      '9 lot number',
      '9 expiry',
      '9 supplier',
      '9 amount',
      '9 unit',
      '10 expiry',
      '11 serial',
      '12 place',
    ]);
    const said = (row: number) => body.bad.find((each) => each.row === row)?.message ?? '';
    expect(said(3)).toContain('eosin-y-alcoholic');
    expect(said(7)).toContain('1.5');
    expect(said(10)).toContain('row 2');
    const refused = await send(file);
    expect(refused).toMatchObject({ status: 422, body: { code: 'bad-rows' } });
    expect(refused.body.problems?.[0]).toMatchObject({ at: 'row 3: reagent' });
    expect(await lotsOf('TARN-1')).toEqual([]);
  });

  it('takes the right rows when asked, once for all repeats of one request', async () => {
    const file = table(
      'eosin-y-alcoholic,WICK-1,2027-06-30,500,mL,1,W-1,Tarn,,,,',
      'eosin-y-alcoholic,WICK-2,2027-06-30,500,kg,1,,Tarn,,,,',
    );
    const wish = '?takeRightRows=true';
    const first = await send(file, wish, { key: 'import-1' });
    expect(first).toMatchObject({
      status: 200,
      body: { taken: true, right: 1, lots: 1, bad: [{ row: 3, field: 'unit' }] },
    });
    expect(await send(file, wish, { key: 'import-1' })).toEqual(first);
    expect(await lotsOf('WICK-1')).toHaveLength(1);
    const again = await send(file, wish);
    expect(again).toMatchObject({ status: 422, body: { code: 'nothing-to-take' } });
  });

  it('reads UTF-16 by its mark and an older encoding when told, and refuses what cannot be read', async () => {
    const row = 'eosin-y-alcoholic,ENC,2027-06-30,500,mL,1,,Färberei Tarn,,,,';
    const sixteen = Buffer.from(`\uFEFF${table(row).replaceAll(',', ';')}`, 'utf16le');
    expect(await send(Uint8Array.from(sixteen), '?dryRun=true')).toMatchObject({ status: 200, body: { right: 1 } });
    const latin = Uint8Array.from(Buffer.from(table(row), 'latin1'));
    const refused = await send(latin, '?dryRun=true');
    expect(refused).toMatchObject({ status: 422, body: { code: 'bad-encoding' } });
    expect(refused.body.detail).toMatch(/line 2.*encoding=windows-1252/);
    expect(await send(latin, '?encoding=windows-1252')).toMatchObject({ status: 200, body: { taken: true } });
    expect((await lotsOf('ENC'))[0]?.source).toBe('Färberei Tarn');
    const unmarked = Uint8Array.from(Buffer.from(table(row), 'utf16le'));
    expect((await send(unmarked)).body.code).toBe('bad-encoding');
    expect((await send(unmarked, '?dryRun=true&encoding=utf-16')).body).toMatchObject({ rows: 1 });
  });

  it('refuses files of another form, and one of 100,000 rows, before anything is done', async () => {
    expect((await send('reagent,lot number\r\nx,y\r\n')).body).toMatchObject({
      code: 'bad-heading',
      problems: expect.arrayContaining([{ at: 'row 1: expiry', message: expect.any(String) }]),
    });
    expect((await send(`${HEADING},colour\r\n`)).body.code).toBe('bad-heading');
    expect((await send('')).body.code).toBe('bad-heading');
    expect((await send(table())).body.code).toBe('nothing-to-take');
    expect((await send(`${HEADING}\r\n"open`)).body.code).toBe('bad-csv');
    const many = await send(table(...Array.from({ length: 100_000 }, () => GOOD)));
    expect(many).toMatchObject({
      status: 422,
      body: { code: 'too-many-rows', detail: expect.stringContaining('2000') },
    });
    expect((await send('x'.repeat(9 * 1024 * 1024))).status).toBe(413);
    expect((await send('not a workbook', '', { type: XLSX })).body.code).toBe('bad-xlsx');
    expect((await send('{}', '', { type: 'application/json' })).status).toBe(415);
    const technician = await test.as('technician');
    expect((await send(table(GOOD), '', { as: technician })).status).toBe(403);
    expect(await lotsOf('TARN-1')).toEqual([]);
  });

  it('reads a workbook with its dates and numbers', async () => {
    const cells = [
      HEADING.split(',')
        .slice(0, 8)
        .map((value) => ({ value, type: String })),
      [
        { value: 'eosin-y-alcoholic', type: String },
        { value: 'BOOK', type: String },
        { value: new Date('2027-06-30T00:00:00Z'), type: Date, format: 'yyyy-mm-dd' },
        { value: 250, type: Number },
        { value: 'mL', type: String },
        { value: 3, type: Number },
        null,
        { value: 'Tarn', type: String },
      ],
    ];
    const book = Uint8Array.from(await writeXlsxFile(cells).toBuffer());
    expect(await send(book, '', { type: XLSX })).toMatchObject({ status: 200, body: { taken: true, containers: 3 } });
    expect((await lotsOf('BOOK'))[0]).toMatchObject({ expiry: '2027-06-30' });
  });

  it('goes out again as CSV and workbook, with no text that a spreadsheet would run', async () => {
    const formula = '=HYPERLINK("http://quill.example")';
    await send(table(`eosin-y-alcoholic,"${formula.replaceAll('"', '""')}",2027-06-30,5,mL,1,,Tarn,,,,`));
    const csv = await manager.get<string>('/api/stock/on-hand.csv');
    expect(csv.headers.get('content-type')).toBe('text/csv; charset=utf-8');
    expect(csv.headers.get('content-disposition')).toBe('attachment; filename="on-hand.csv"');
    const rows: Record<string, string>[] = parse(csv.body, { columns: true, bom: true });
    expect(rows.map((row) => row['lot number'])).toContain(`'${formula}`);
    expect(rows.find((row) => row['lot number'] === 'TARN-7')).toMatchObject({ 'on hand': '500', value: '24.5' });
    const answer = await fetch(`${test.url}/api/stock/on-hand.xlsx`, { headers: manager.headers });
    const sheet = await readSheet(Buffer.from(await answer.arrayBuffer()));
    expect(sheet).toHaveLength(rows.length + 1);
    expect(sheet.find((row) => row[2] === 'TARN-7')?.[6]).toBe(500);
    const ledger: Record<string, string>[] = parse(
      (await manager.get<string>('/api/ledger.csv?reagent=eosin-y-alcoholic&kind=received')).body,
      { columns: true, bom: true },
    );
    expect(ledger.find((row) => row['lot number'] === 'BOOK')).toMatchObject({ amount: '250', unit: 'mL' });
  });
});
