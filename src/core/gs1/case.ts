import { readBracketed, readScanned, readUnprefixed } from './carriers.js';
import { isCalendarDate } from './dates.js';

/** A case of `compute gs1` that cannot be read; `code` is stable for programs. */
export class Gs1CaseError extends Error {
  readonly code = 'GS1_CASE';
}

const READERS = { scan: readScanned, bracketed: readBracketed, plain: readUnprefixed };

/**
 * Answers `compute gs1`: takes a case with `id`, `form` (scan: with a symbology identifier; bracketed; plain: without
 * either), `text` and `today`, and gives what was read. gtin, lot, serial and expiry restate the elements, so a retail
 * bar code, which has none, has none of them here. Throws Gs1CaseError for a case that is malformed.
 * `computeGs1({ id: 'a', form: 'bracketed', text: '(00)123456789012345675', today: '2026-11-25' })` is
 * `{ id: 'a', valid: true, elements: [{ ai: '00', value: '123456789012345675' }], warnings: [] }`.
 */
export function computeGs1(input: unknown): object {
  const { id, form, text, today }: Record<string, unknown> = { ...(typeof input === 'object' ? input : {}) };
  if (typeof text !== 'string') {
    throw new Gs1CaseError('"text" is missing or no text; it would be the scanned text, such as "]d20109521234543213"');
  }
  if (form !== 'scan' && form !== 'bracketed' && form !== 'plain') {
    throw new Gs1CaseError('"form" would be "scan", "bracketed" or "plain"');
  }
  if (typeof today !== 'string' || !isCalendarDate(today)) {
    throw new Gs1CaseError('"today" would be a calendar date, such as "2026-11-25"');
  }
  const read = READERS[form](text, today);
  if (!read.valid) {
    return { id, ...read };
  }
  const { gtin, ...contents } = read;
  return { id, ...contents, ...(contents.elements.some((e) => e.ai === '01') && { gtin }) };
}
