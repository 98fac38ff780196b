import { drawMark, type Mark } from './marks.js';
import type { Sheet } from './sheet.js';

export interface Column {
  title: string;
  /** Its part of the width, beside the others' parts. */
  share: number;
  align?: 'left' | 'right';
}

/** What stands in one place of a table: words alone, or with a mark before them. */
export type Cell = string | { text: string; mark?: Mark; bold?: boolean };

const GAP = 6;

/** A table over the whole width; its titles stand again on each page that it runs on to, and no row is torn. */
export function table(sheet: Sheet, columns: readonly Column[], rows: readonly (readonly Cell[])[]): void {
  const shares = columns.reduce((sum, { share }) => sum + share, 0);
  const room = sheet.width - GAP * (columns.length - 1);
  let at = sheet.left;
  const places = columns.map(({ share, align }) => {
    const place = { x: at, width: (room * share) / shares, align: align ?? ('left' as const) };
    at += place.width + GAP;
    return place;
  });
  const titled = columns.some(({ title }) => title !== '');
  const titles = columns.map(({ title }) => title);
  const small = { size: sheet.size - 0.5, bold: true };
  const titleHeight = titled
    ? Math.max(...titles.map((title, n) => sheet.heightOf(title, places[n]?.width ?? 1, small))) + 2
    : 0;
  const putTitles = (): void => {
    if (!titled) return;
    titles.forEach((title, n) => {
      const place = places[n];
      if (place) sheet.put(title, { ...place, y: sheet.y, ...small });
    });
    sheet.y += titleHeight;
    line(sheet);
  };
  const heightOf = (cells: readonly Cell[]): number =>
    Math.max(
      ...cells.map((cell, n) => {
        const { text, mark, bold = false } = asCell(cell);
        return sheet.heightOf(text, (places[n]?.width ?? 1) - (mark ? indent(sheet) : 0), { bold });
      }),
    ) + 2;
  sheet.room(titleHeight + (rows[0] ? heightOf(rows[0]) : 0));
  putTitles();
  for (const cells of rows) {
    const height = heightOf(cells);
    if (sheet.room(height)) putTitles();
    cells.forEach((cell, n) => {
      const place = places[n];
      if (!place) return;
      const { text, mark, bold = false } = asCell(cell);
      const shift = mark ? indent(sheet) : 0;
      if (mark) drawMark(sheet.pdf, mark, place.x + shift / 2 - 1, sheet.y + sheet.size * 0.58, sheet.size * 0.34);
      sheet.put(text, { ...place, x: place.x + shift, width: place.width - shift, y: sheet.y, bold });
    });
    sheet.y += height;
    line(sheet, 0.25);
  }
}

function asCell(cell: Cell): Exclude<Cell, string> {
  return typeof cell === 'string' ? { text: cell } : cell;
}

function indent(sheet: Sheet): number {
  return sheet.size + 2.5;
}

function line({ pdf, left, width, y }: Sheet, weight = 0.5): void {
  pdf
    .moveTo(left, y - 1)
    .lineTo(left + width, y - 1)
    .lineWidth(weight)
    .stroke('black')
    .lineWidth(0.5);
}
