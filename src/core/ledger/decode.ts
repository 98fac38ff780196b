import { Refusal } from '../refusal.js';

export const ENCODINGS = ['utf-8', 'utf-16', 'windows-1252'] as const;
export type Encoding = (typeof ENCODINGS)[number];

/**
 * The text of a file: by its byte order mark, else as it is said to be, else UTF-8. Refuses bytes that are no such text,
 * naming the line, and what would be right.
 */
export function decodeText(bytes: Uint8Array, said?: Encoding): string {
  const marked = markOf(bytes);
  const encoding = marked ?? (said === 'utf-16' ? 'utf-16le' : (said ?? 'utf-8'));
  let text: string;
  try {
    text = new TextDecoder(encoding, { fatal: true }).decode(bytes);
  } catch {
    const line = encoding === 'utf-8' ? ` in line ${badLine(bytes)}` : '';
    const message = `The file is no ${encoding.toUpperCase()} text${line}. Save it as "CSV UTF-8", or send encoding=windows-1252 if it was made by an older spreadsheet.`;
    throw new Refusal('invalid', 'bad-encoding', message);
  }
  if (!text.includes('\u0000')) return text;
  const message =
    'The file holds characters U+0000, as UTF-16 without its mark does. Save it as "CSV UTF-8", or send encoding=utf-16.';
  throw new Refusal('invalid', 'bad-encoding', message);
}

function markOf([a, b, c]: Uint8Array): 'utf-8' | 'utf-16le' | 'utf-16be' | null {
  if (a === 0xef && b === 0xbb && c === 0xbf) return 'utf-8';
  if (a === 0xff && b === 0xfe) return 'utf-16le';
  return a === 0xfe && b === 0xff ? 'utf-16be' : null;
}

/** The first line that is not UTF-8, counted from 1. */
function badLine(bytes: Uint8Array): number {
  const decoder = new TextDecoder('utf-8', { fatal: true });
  let line = 1;
  let from = 0;
  while (from < bytes.length) {
    const end = bytes.indexOf(0x0a, from);
    const to = end < 0 ? bytes.length : end + 1;
    try {
      decoder.decode(bytes.subarray(from, to));
    } catch {
      return line;
    }
    line += 1;
    from = to;
  }
  return line;
}
