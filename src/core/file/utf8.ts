import { Refusal } from '../refusal.js';

/**
 * The text of a file that must be UTF-8, without a byte order mark. Refuses another encoding, saying at which byte it shows and
 * what would be right. `readUtf8(new Uint8Array([0xef, 0xbb, 0xbf, 0x61]))` is 'a'.
 */
export function readUtf8(bytes: Uint8Array): string {
  const refused = (what: string) => {
    const message = `${what}; save it as UTF-8 (in a spreadsheet: "CSV UTF-8") and send it again`;
    return new Refusal('invalid', 'not-utf-8', message, [{ at: '', message }]);
  };
  const [a, b] = bytes;
  if ((a === 0xff && b === 0xfe) || (a === 0xfe && b === 0xff)) throw refused('The file is UTF-16');
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw refused(`The file is not UTF-8: byte ${firstFault(bytes) + 1} belongs to no character of it`);
  }
}

/** Where a text stops being UTF-8: the longest beginning that reads without a fault, found by halving. */
function firstFault(bytes: Uint8Array): number {
  let [good, bad] = [0, bytes.length];
  while (bad - good > 1) {
    const middle = (good + bad) >> 1;
    if (reads(bytes.subarray(0, middle))) good = middle;
    else bad = middle;
  }
  return good;
}

/** Whether a beginning has no fault; a character that is cut off at its end is none. */
function reads(bytes: Uint8Array): boolean {
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(bytes, { stream: true });
    return true;
  } catch {
    return false;
  }
}
