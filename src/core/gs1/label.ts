/** What our own labels stand on, by the letter in the label. */
export const LABEL_KINDS = {
  C: 'container',
  S: 'specimen',
  L: 'slide',
  P: 'preparation',
  B: 'badge',
  T: 'station',
  F: 'paper sheet',
} as const;
export type LabelKind = keyof typeof LABEL_KINDS;

export type LabelReading =
  | { valid: true; kind: LabelKind; id: string }
  | {
      valid: false;
      error: { code: 'LABEL_FORM' | 'LABEL_KIND' | 'LABEL_ID' | 'LABEL_CHECK'; message: string; at: number };
    };

const ALPHABET = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ';
/** Crockford's base 32 has no I, L, O and U. */
const ID = /^[0-9A-HJKMNP-TV-Z-]{4,32}$/;
const ID_RIGHT = '4 to 32 of the digits, the capitals without I, L, O and U, and the hyphen';
const KINDS_RIGHT = Object.entries(LABEL_KINDS)
  .map(([letter, name]) => `${letter} (${name})`)
  .join(', ');

/**
 * The check character that belongs after these digits and capitals; every single wrong character changes it, and
 * nearly every swap of neighbours. Source: ISO/IEC 7064, hybrid system MOD 37,36. `checkCharacter('A12425GABC1234002')` is 'M'.
 */
export function checkCharacter(text: string): string {
  let product = 36;
  for (const character of text) {
    const sum = (product + ALPHABET.indexOf(character)) % 36 || 36;
    product = (sum * 2) % 37;
  }
  return ALPHABET.charAt((37 - product) % 36);
}

/**
 * The text of our own label, SW1:<kind>:<id><check>, for a code or for print. The check character covers the kind and
 * the id without its hyphens. Throws RangeError for an id that no label can carry.
 * `makeLabel('C', '7K3M-0042')` is 'SW1:C:7K3M-00424'.
 */
export function makeLabel(kind: LabelKind, id: string): string {
  if (!ID.test(id)) {
    throw new RangeError(`"${id}" cannot stand on a label; an id has ${ID_RIGHT}`);
  }
  return `SW1:${kind}:${id}${checkOf(kind, id)}`;
}

/** Whether a text is meant as one of our own labels, right or wrong. */
export function looksLikeLabel(text: string): boolean {
  return /^SW1:/i.test(text);
}

/**
 * Reads our own label, scanned or typed: small letters are taken as capitals, and in the id I and L as 1, O as 0, as
 * Crockford's base 32 has it. An error says what, where and what would be right; never throws.
 * `readLabel('SW1:C:7K3M-00424')` is `{ valid: true, kind: 'C', id: '7K3M-0042' }`.
 */
export function readLabel(text: string): LabelReading {
  const parts = text.toUpperCase().split(':');
  const [mark, kind = '', body = ''] = parts;
  if (mark !== 'SW1' || parts.length !== 3) {
    return wrong(
      'LABEL_FORM',
      1,
      `"${text}" is no label of ours; one is written SW1:<kind>:<id>, such as ${makeLabel('C', '7K3M-0042')}.`,
    );
  }
  if (!isKind(kind)) {
    return wrong('LABEL_KIND', 5, `"${kind}" at character 5 is no kind of label; it would be one of ${KINDS_RIGHT}.`);
  }
  const id = body.slice(0, -1).replace(/[IL]/g, '1').replaceAll('O', '0');
  if (!ID.test(id)) {
    return wrong(
      'LABEL_ID',
      7,
      `The id "${body.slice(0, -1)}" at character 7 is not as it should be; an id has ${ID_RIGHT}, and a check character follows.`,
    );
  }
  if (body.slice(-1) !== checkOf(kind, id)) {
    return wrong(
      'LABEL_CHECK',
      text.length,
      `The check character of "${text}" does not fit, so at least one character is wrong; scan it again, or compare it with the print.`,
    );
  }
  return { valid: true, kind, id };
}

/**
 * Reads our own label typed as pages print it, without mark and kind; null where it is none. The check character covers
 * the kind and changes with every single character, so that it fits one kind at most.
 * `readPrinted('7K3M-00424')` is `{ valid: true, kind: 'C', id: '7K3M-0042' }`.
 */
export function readPrinted(text: string): (LabelReading & { valid: true }) | null {
  for (const kind of Object.keys(LABEL_KINDS)) {
    const read = readLabel(`SW1:${kind}:${text}`);
    if (read.valid) return read;
  }
  return null;
}

function checkOf(kind: LabelKind, id: string): string {
  return checkCharacter(kind + id.replaceAll('-', ''));
}

function isKind(letter: string): letter is LabelKind {
  return Object.hasOwn(LABEL_KINDS, letter);
}

function wrong(
  code: 'LABEL_FORM' | 'LABEL_KIND' | 'LABEL_ID' | 'LABEL_CHECK',
  at: number,
  message: string,
): LabelReading {
  return { valid: false, error: { code, message, at } };
}
