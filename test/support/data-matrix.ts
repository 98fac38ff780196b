/**
 * Reads a Data Matrix ECC 200 symbol of one region by ISO/IEC 16022 (Annex F: placement of the codewords; 5.2.3: ASCII
 * encodation), written for the tests and independent of what draws the symbols. Corrects no errors: a drawn symbol has none.
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
  return asciiOf(codewords.slice(0, DATA_WORDS[size] ?? 0));
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

function asciiOf(codewords: readonly number[]): string {
  let text = '';
  for (const word of codewords) {
    if (word === 129) break;
    if (word >= 1 && word <= 128) text += String.fromCharCode(word - 1);
    else if (word >= 130 && word <= 229) text += String(word - 130).padStart(2, '0');
    else throw new Error(`codeword ${word} switches to another encodation`);
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
