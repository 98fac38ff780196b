/** A sheet of labels, in millimetres: the first label's corner, its size and the steps to the next ones. */
export interface LabelSheet {
  name: string;
  page: { width: number; height: number };
  columns: number;
  rows: number;
  label: { width: number; height: number };
  /** From the edges of the page to the first label. */
  left: number;
  top: number;
  /** From one label's corner to that of the next. */
  across: number;
  down: number;
}

const A4 = { width: 210, height: 297 };
const LETTER = { width: 215.9, height: 279.4 };

/** Sheets by their dimensions, which are those of the trade: common practice, no source. */
export const SHEETS = {
  'a4-3x8': {
    name: 'A4, 24 labels of 70 x 37 mm',
    page: A4,
    ...{ columns: 3, rows: 8, label: { width: 70, height: 37 }, left: 0, top: 0.5, across: 70, down: 37 },
  },
  'a4-2x7': {
    name: 'A4, 14 labels of 99.1 x 38.1 mm',
    page: A4,
    ...{ columns: 2, rows: 7, label: { width: 99.1, height: 38.1 }, left: 4.65, top: 15.15, across: 101.6, down: 38.1 },
  },
  'a4-5x13': {
    name: 'A4, 65 labels of 38.1 x 21.2 mm',
    page: A4,
    ...{ columns: 5, rows: 13, label: { width: 38.1, height: 21.2 }, left: 4.75, top: 10.7, across: 40.6, down: 21.2 },
  },
  'letter-3x10': {
    name: 'US letter, 30 labels of 2 5/8 x 1 in',
    page: LETTER,
    ...{ columns: 3, rows: 10, label: { width: 66.7, height: 25.4 }, left: 4.76, top: 12.7, across: 69.85, down: 25.4 },
  },
} as const satisfies Record<string, LabelSheet>;

export type SheetId = keyof typeof SHEETS;
export const SHEET_IDS = Object.keys(SHEETS) as [SheetId, ...SheetId[]];

/** Where a label lies, counted from 0 row by row: its page and its corner in millimetres. */
export function labelAt(sheet: LabelSheet, position: number): { page: number; x: number; y: number } {
  const each = sheet.columns * sheet.rows;
  const within = position % each;
  const [row, column] = [Math.floor(within / sheet.columns), within % sheet.columns];
  return {
    page: Math.floor(position / each),
    x: sheet.left + column * sheet.across,
    y: sheet.top + row * sheet.down,
  };
}
