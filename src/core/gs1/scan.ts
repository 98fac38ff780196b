import { readBracketed, readGtin, readScanned, readUnprefixed } from './carriers.js';
import { endsInCheckDigit } from './check-digit.js';
import { looksLikeLink } from './digital-link.js';
import { type LabelReading, looksLikeLabel, readLabel } from './label.js';
import { SEPARATOR } from './element-strings.js';
import { type Gs1Reading } from './reading.js';

/** What a scanned or typed text turned out to be; a label or GS1 data may itself be faulty, and then says why. */
export type Scan =
  | { type: 'label'; label: LabelReading }
  | { type: 'gs1'; reading: Gs1Reading }
  | { type: 'unknown'; code: 'SCAN_EMPTY' | 'SCAN_UNKNOWN'; message: string };

const RIGHT =
  'scan one of our own labels (SW1:…) or the GS1 code on the bottle, or type its print with brackets, such as (01)09521234543213(17)270630(10)EY2406A';

/** Plain codes, of which any may carry one of our own labels: Code 128, Data Matrix, QR Code. */
const PLAIN = /^\](C0|d1|Q1)/;

/**
 * Tells whether a text from a scanner or a keyboard is one of our own labels, GS1 data (with or without symbology
 * identifier, bracketed, a Digital Link, a bare GTIN) or unknown, and then what would be right. Line ends that a
 * scanner adds are dropped. `today` is an ISO date. Never throws.
 * `readScan('4006381333931', '2026-11-25')` is GS1 with gtin '04006381333931'.
 */
export function readScan(text: string, today: string): Scan {
  const sent = text.replace(/[\r\n\t]+$/, '');
  const plain = sent.replace(PLAIN, '');
  if (plain.trim() === '') {
    return { type: 'unknown', code: 'SCAN_EMPTY', message: `Nothing was scanned; ${RIGHT}.` };
  }
  if (looksLikeLabel(plain)) {
    return { type: 'label', label: readLabel(plain) };
  }
  if (sent.startsWith(']')) {
    const read = readScanned(sent, today);
    return read.valid && read.elements.length === 0 && read.gtin === undefined
      ? unknown(plain)
      : { type: 'gs1', reading: read };
  }
  if (sent.startsWith('(')) {
    return { type: 'gs1', reading: readBracketed(sent, today) };
  }
  if (/^\d+$/.test(sent) && [8, 12, 13, 14].includes(sent.length) && endsInCheckDigit(sent)) {
    return { type: 'gs1', reading: readGtin(sent, today) };
  }
  const read = readUnprefixed(sent, today);
  const meant = looksLikeLink(sent) || sent.includes(SEPARATOR) || /^0[0-2]\d{14}/.test(sent);
  return meant || (read.valid && read.gtin !== undefined) ? { type: 'gs1', reading: read } : unknown(sent);
}

function unknown(text: string): Scan {
  const shown = text.length > 40 ? `${text.slice(0, 40)}…` : text;
  return {
    type: 'unknown',
    code: 'SCAN_UNKNOWN',
    message: `"${shown}" is neither one of our own labels nor GS1 data; ${RIGHT}.`,
  };
}
