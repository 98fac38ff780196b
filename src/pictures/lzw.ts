const CLEAR = 256;
const END = 257;
const FIRST_FREE = 258;
const MOST_CODES = 4096;

/**
 * Unpacks LZW as TIFF uses it, codes of 9 to 12 bits with the highest bit first (TIFF 6.0, section 13), into exactly `size`
 * bytes. Throws when the data end early or name a code that was not made yet.
 */
export function unpackLzw(packed: Uint8Array, size: number): Uint8Array {
  const out = new Uint8Array(size);
  // Each code is the string of another code and one byte more.
  const prefix = new Uint16Array(MOST_CODES);
  const last = new Uint8Array(MOST_CODES);
  const length = new Uint16Array(MOST_CODES);
  for (let code = 0; code < CLEAR; code++) {
    last[code] = code;
    length[code] = 1;
  }
  let [bits, held, at, written] = [0, 0, 0, 0];
  let [width, free, previous] = [9, FIRST_FREE, -1];
  while (written < size) {
    while (held < width) {
      if (at >= packed.length) throw new Error(`the data end after ${written} of ${size} bytes`);
      bits = ((bits << 8) | (packed[at++] ?? 0)) & 0xff_ffff;
      held += 8;
    }
    held -= width;
    const code = (bits >> held) & ((1 << width) - 1);
    if (code === END) throw new Error(`the data end after ${written} of ${size} bytes`);
    if (code === CLEAR) {
      [width, free, previous] = [9, FIRST_FREE, -1];
      continue;
    }
    if (code > free || (code === free && previous < 0) || (code >= FIRST_FREE && previous < 0)) {
      throw new Error(`the code ${code} was not made yet`);
    }
    if (previous >= 0 && free < MOST_CODES) {
      prefix[free] = previous;
      length[free] = (length[previous] ?? 0) + 1;
      // A code that names itself begins with the byte that the one before begins with.
      last[free] = firstOf(code === free ? previous : code, prefix);
      free += 1;
    }
    let to = written + (length[code] ?? 0);
    written = to;
    for (let each = code; to > 0; each = prefix[each] ?? 0) {
      to -= 1;
      if (to < size) out[to] = last[each] ?? 0;
      if (length[each] === 1) break;
    }
    previous = code;
    // TIFF widens one code early.
    if (free === (1 << width) - 1 && width < 12) width += 1;
  }
  return out;
}

function firstOf(code: number, prefix: Uint16Array): number {
  let each = code;
  while (each >= FIRST_FREE) each = prefix[each] ?? 0;
  return each;
}
