import bwip from 'bwip-js/node';
import type { Pdf } from './paper.js';

/** What stands in a code: the same text that a scanner or a person types. */
export type CodeKind = 'datamatrix' | 'qrcode';

/** The modules of a code, row by row, true where it is dark; ISO/IEC 16022 or 18004, by the library. */
export function codeModules(text: string, kind: CodeKind): boolean[][] {
  const [drawn] = bwip.raw({ bcid: kind, text, ...(kind === 'qrcode' && { eclevel: 'M' }) });
  if (!drawn || !('pixs' in drawn)) throw new Error(`no ${kind} was made of ${text}`);
  const { pixs, pixx, pixy } = drawn;
  return Array.from({ length: pixy }, (_, row) =>
    Array.from({ length: pixx }, (__, column) => pixs[row * pixx + column] === 1),
  );
}

/** Draws a code with its quiet zone into a square; x, y and side in points. */
export function drawCode(
  pdf: Pdf,
  text: string,
  { x, y, side, kind }: { x: number; y: number; side: number; kind: CodeKind },
): void {
  const modules = codeModules(text, kind);
  // The quiet zone is the label's own white; QR asks for four modules of it.
  const quiet = kind === 'qrcode' ? 4 : 1;
  const step = side / (modules.length + 2 * quiet);
  pdf.fillColor('black');
  for (const [row, line] of modules.entries()) {
    for (const [column, dark] of line.entries()) {
      if (dark) pdf.rect(x + (column + quiet) * step, y + (row + quiet) * step, step, step);
    }
  }
  pdf.fill();
}
