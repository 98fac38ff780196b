/**
 * Reads a Data Matrix ECC 200 symbol of one region by ISO/IEC 16022 (Annex F: placement of the codewords; 5.2.3, 5.2.5 and 5.2.8: ASCII,
 * C40 and EDIFACT encodation), written for the tests and independent of what draws the symbols. Corrects no errors: a drawn symbol has none.
 */
export function readDataMatrix(modules: readonly (readonly boolean[])[]): string {
  const size = modules.length;
  finder(modules);
  const inner = size - 2;
  const places = placement(inner, inner);
  const codewords: number[] = [];
  for (let row = 0; row < inner; row++) {
    for (let column = 0; column < inner; column++) {
      const place = places[row * inner + column] ?? 0;
      if (place < 10) continue;
      const [word, bit] = [Math.floor(place / 10) - 1, place % 10];
      const dark = modules[row + 1]?.[column + 1] === true;
      codewords[word] = (codewords[word] ?? 0) | (dark ? 1 << (8 - bit) : 0);
    }
  }
  return textOf(codewords.slice(0, DATA_WORDS[size] ?? 0));
}

/** Data codewords by size of the symbol (ISO/IEC 16022 table 7). */
const DATA_WORDS: Record<number, number> = { 10: 3, 12: 5, 14: 8, 16: 12, 18: 18, 20: 22, 22: 30, 24: 36, 26: 44 };

/** A solid line on the left and below, an alternating one above and on the right. */
function finder(modules: readonly (readonly boolean[])[]): void {
  const last = modules.length - 1;
  for (let n = 0; n <= last; n++) {
    const fits =
      modules[n]?.[0] === true &&
      modules[last]?.[n] === true &&
      modules[0]?.[n] === (n % 2 === 0) &&
      modules[n]?.[last] === (n % 2 === 1);
    if (!fits) throw new Error(`the finder pattern is broken at ${n}`);
  }
}

const EDIFACT_SWITCH = 240;
const EDIFACT_END = 31;

/** Four values of six bits in three codewords; 31 ends it, and fewer than three codewords left are none (ISO/IEC 16022 5.2.8). */
function edifactOf(codewords: readonly number[]): { text: string; used: number } {
  let text = '';
  for (let n = 0; n + 2 < codewords.length; n += 3) {
    const bits = ((codewords[n] ?? 0) << 16) | ((codewords[n + 1] ?? 0) << 8) | (codewords[n + 2] ?? 0);
    for (const [at, shift] of [18, 12, 6, 0].entries()) {
      const value = (bits >> shift) & 63;
      // The rest of the codeword in which it ends is empty.
      if (value === EDIFACT_END) return { text, used: n + Math.min(at + 1, 3) };
      text += String.fromCharCode(value < 32 ? value + 64 : value);
    }
  }
  return { text, used: codewords.length - (codewords.length % 3) };
}

const C40_SWITCH = 230;
const C40_END = 254;
/** The basic set of C40 from value 3 on (ISO/IEC 16022 table C.1). */
const C40_BASIC = ' 0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ';
/** Its second set: signs. */
const C40_SIGNS = '!"#$%&\'()*+,-./:;<=>?@[\\]^_';

function textOf(codewords: readonly number[]): string {
  let text = '';
  for (let n = 0; n < codewords.length; n++) {
    const word = codewords[n] ?? 0;
    if (word === 129) break;
    if (word >= 1 && word <= 128) text += String.fromCharCode(word - 1);
    else if (word >= 130 && word <= 229) text += String(word - 130).padStart(2, '0');
    else if (word === C40_SWITCH) {
      const end = codewords.indexOf(C40_END, n);
      const stop = end < 0 ? codewords.length : end;
      text += c40Of(codewords.slice(n + 1, stop));
      n = stop;
    } else if (word === EDIFACT_SWITCH) {
      const { text: more, used } = edifactOf(codewords.slice(n + 1));
      text += more;
      n += used;
    } else throw new Error(`codeword ${word} switches to another encodation`);
  }
  return text;
}

/** Three values in two codewords each; the value 1 takes the next one from the signs. */
function c40Of(codewords: readonly number[]): string {
  const values: number[] = [];
  for (let n = 0; n + 1 < codewords.length; n += 2) {
    const three = (codewords[n] ?? 0) * 256 + (codewords[n + 1] ?? 0) - 1;
    values.push(Math.floor(three / 1600), Math.floor(three / 40) % 40, three % 40);
  }
  let text = '';
  let signs = false;
  for (const value of values) {
    if (signs) text += C40_SIGNS.charAt(value);
    else if (value >= 3) text += C40_BASIC.charAt(value - 3);
    else if (value !== 1 && value !== 0) throw new Error(`C40 value ${value} is not read here`);
    signs = !signs && value === 1;
  }
  return text;
}

/** For each module ten times its codeword, counted from 1, plus its bit from 1, the highest, to 8. */
function placement(rows: number, columns: number): number[] {
  const places = new Array<number>(rows * columns).fill(0);
  const set = (atRow: number, atColumn: number, word: number, bit: number): void => {
    let [row, column] = [atRow, atColumn];
    if (row < 0) {
      row += rows;
      column += 4 - ((rows + 4) % 8);
    }
    if (column < 0) {
      column += columns;
      row += 4 - ((columns + 4) % 8);
    }
    places[row * columns + column] = 10 * word + bit;
  };
  const utah = (row: number, column: number, word: number): void => {
    const steps = [
      [-2, -2],
      [-2, -1],
      [-1, -2],
      [-1, -1],
      [-1, 0],
      [0, -2],
      [0, -1],
      [0, 0],
    ] as const;
    steps.forEach(([down, across], n) => set(row + down, column + across, word, n + 1));
  };
  const corner = (word: number, at: readonly (readonly [number, number])[]): void =>
    at.forEach(([row, column], n) => set(row, column, word, n + 1));
  let [word, row, column] = [1, 4, 0];
  const free = (): boolean => places[row * columns + column] === 0;
  do {
    if (row === rows && column === 0) {
      corner(word++, [
        [rows - 1, 0],
        [rows - 1, 1],
        [rows - 1, 2],
        [0, columns - 2],
        [0, columns - 1],
        [1, columns - 1],
        [2, columns - 1],
        [3, columns - 1],
      ]);
    }
    if (row === rows - 2 && column === 0 && columns % 4 !== 0) {
      corner(word++, [
        [rows - 3, 0],
        [rows - 2, 0],
        [rows - 1, 0],
        [0, columns - 4],
        [0, columns - 3],
        [0, columns - 2],
        [0, columns - 1],
        [1, columns - 1],
      ]);
    }
    if (row === rows - 2 && column === 0 && columns % 8 === 4) {
      corner(word++, [
        [rows - 3, 0],
        [rows - 2, 0],
        [rows - 1, 0],
        [0, columns - 2],
        [0, columns - 1],
        [1, columns - 1],
        [2, columns - 1],
        [3, columns - 1],
      ]);
    }
    if (row === rows + 4 && column === 2 && columns % 8 === 0) {
      corner(word++, [
        [rows - 1, 0],
        [rows - 1, columns - 1],
        [0, columns - 3],
        [0, columns - 2],
        [0, columns - 1],
        [1, columns - 3],
        [1, columns - 2],
        [1, columns - 1],
      ]);
    }
    do {
      if (row < rows && column >= 0 && free()) utah(row, column, word++);
      row -= 2;
      column += 2;
    } while (row >= 0 && column < columns);
    row += 1;
    column += 3;
    do {
      if (row >= 0 && column < columns && free()) utah(row, column, word++);
      row += 2;
      column -= 2;
    } while (row < rows && column >= 0);
    row += 3;
    column += 1;
  } while (row < rows || column < columns);
  return places;
}
