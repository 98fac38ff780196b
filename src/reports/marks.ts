import type { Pdf } from './paper.js';

/**
 * What is told by a shape beside its word, so that it reads in black and white: a full square stops, a double frame asks, a
 * dotted one tells, a ring with a dot is settled; a disc is as it should be, a full lozenge is not, an open one is undecided,
 * an arrowhead points out of the window.
 */
export const MARKS = ['stop', 'caution', 'note', 'settled', 'good', 'bad', 'open', 'early', 'late', 'eye'] as const;
export type Mark = (typeof MARKS)[number];

/** Draws a mark around a centre; `r` is half of its width in points. */
export function drawMark(pdf: Pdf, mark: Mark, x: number, y: number, r: number): void {
  pdf.save().lineWidth(0.8).strokeColor('black').fillColor('black');
  SHAPES[mark](pdf, x, y, r);
  pdf.restore();
}

const SHAPES: Record<Mark, (pdf: Pdf, x: number, y: number, r: number) => void> = {
  stop: (pdf, x, y, r) => pdf.rect(x - r, y - r, 2 * r, 2 * r).fill(),
  caution: (pdf, x, y, r) => {
    pdf
      .lineWidth(0.6)
      .rect(x - r, y - r, 2 * r, 2 * r)
      .stroke();
    pdf.rect(x - r / 2, y - r / 2, r, r).stroke();
  },
  note: (pdf, x, y, r) =>
    pdf
      .dash(1, { space: 1 })
      .rect(x - r, y - r, 2 * r, 2 * r)
      .stroke(),
  settled: (pdf, x, y, r) => {
    pdf.circle(x, y, r).stroke();
    pdf.circle(x, y, r / 3).fill();
  },
  good: (pdf, x, y, r) => pdf.circle(x, y, r * 0.85).fill(),
  bad: (pdf, x, y, r) => lozenge(pdf, x, y, r * 1.2).fill(),
  open: (pdf, x, y, r) => lozenge(pdf, x, y, r * 1.1).stroke(),
  early: (pdf, x, y, r) => pdf.polygon([x - r * 1.1, y], [x + r * 0.8, y - r * 1.1], [x + r * 0.8, y + r * 1.1]).fill(),
  late: (pdf, x, y, r) => pdf.polygon([x + r * 1.1, y], [x - r * 0.8, y - r * 1.1], [x - r * 0.8, y + r * 1.1]).fill(),
  eye: (pdf, x, y, r) => pdf.lineWidth(1).circle(x, y, r).fillAndStroke('white', 'black'),
};

function lozenge(pdf: Pdf, x: number, y: number, r: number): Pdf {
  return pdf.polygon([x, y - r], [x + r, y], [x, y + r], [x - r, y]);
}
