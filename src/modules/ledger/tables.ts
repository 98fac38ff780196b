import type { Readable } from 'node:stream';
import { PayloadTooLargeException } from '@nestjs/common';
import { CsvError, parse } from 'csv-parse/sync';
import { readSheet } from 'read-excel-file/node';
import { decodeText, type Encoding } from '../../core/ledger/decode.js';
import { Refusal } from '../../core/refusal.js';

export const CSV = 'text/csv';
export const XLSX = 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet';

/** Far more than the rows that are taken at once need. */
export const MOST_BYTES = 8 * 1024 * 1024;
const MOST_UNPACKED = 64 * 1024 * 1024;

/** The bytes of a body, up to a limit. What is over it is read to its end, within reason, so that the refusal is heard. */
export async function bytesOf(body: Readable): Promise<Buffer> {
  const chunks: Buffer[] = [];
  let length = 0;
  for await (const chunk of body as AsyncIterable<Buffer>) {
    length += chunk.length;
    if (length <= MOST_BYTES) chunks.push(chunk);
    else chunks.length = 0;
    if (length > MOST_UNPACKED) break;
  }
  if (length > MOST_BYTES) throw new PayloadTooLargeException();
  return Buffer.concat(chunks);
}

/** A CSV file as rows of text; its columns are parted by what parts its first line: comma, semicolon or tabulator. */
export function csvTable(bytes: Buffer, encoding?: Encoding): string[][] {
  const text = decodeText(bytes, encoding);
  const first = text.split(/\r\n|\r|\n/, 1)[0] ?? '';
  const [delimiter] = [',', ';', '\t'].sort((a, b) => first.split(b).length - first.split(a).length);
  try {
    return parse(text, { delimiter: delimiter ?? ',', relax_column_count: true, skip_empty_lines: false, bom: true });
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    const message = `The CSV cannot be read: ${error.message}. Put text with quotation marks or line ends into quotation marks, each mark inside doubled.`;
    throw new Refusal('invalid', 'bad-csv', message);
  }
}

/** The first sheet of a workbook as rows of text. */
export async function xlsxTable(bytes: Buffer): Promise<string[][]> {
  const refused = (why: string): Refusal =>
    new Refusal('invalid', 'bad-xlsx', `The workbook cannot be read: ${why}. Save it as .xlsx or as "CSV UTF-8".`);
  const unpacked = unpackedBytes(bytes);
  if (unpacked === null) throw refused('it is no .xlsx file');
  if (unpacked > MOST_UNPACKED) throw refused(`unpacked it has ${unpacked} bytes, more than ${MOST_UNPACKED}`);
  let rows: unknown[][];
  try {
    rows = await readSheet(bytes);
  } catch {
    throw refused('its first sheet is broken or missing');
  }
  return rows.map((row) => row.map(cellText));
}

function cellText(cell: unknown): string {
  if (cell === null || cell === undefined) return '';
  if (cell instanceof Date) {
    const [day = '', clock = ''] = cell.toISOString().split('T');
    return clock.startsWith('00:00:00') ? day : `${day}T${clock.slice(0, 5)}`;
  }
  return typeof cell === 'string' ? cell : String(cell as number | boolean);
}

const END_OF_DIRECTORY = 0x06054b50;
const DIRECTORY_ENTRY = 0x02014b50;

/**
 * How many bytes a ZIP archive holds unpacked, by its directory (APPNOTE.TXT 4.3.12, 4.3.16); null when it is none.
 */
function unpackedBytes(bytes: Buffer): number | null {
  let end = bytes.length - 22;
  while (end >= 0 && bytes.readUInt32LE(end) !== END_OF_DIRECTORY) end -= 1;
  if (end < 0) return null;
  const entries = bytes.readUInt16LE(end + 10);
  let at = bytes.readUInt32LE(end + 16);
  let total = 0;
  for (let n = 0; n < entries; n++) {
    if (at + 46 > bytes.length || bytes.readUInt32LE(at) !== DIRECTORY_ENTRY) return null;
    total += bytes.readUInt32LE(at + 24);
    at += 46 + bytes.readUInt16LE(at + 28) + bytes.readUInt16LE(at + 30) + bytes.readUInt16LE(at + 32);
  }
  return total;
}
