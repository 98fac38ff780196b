import type { Drawing, Shape } from '../core/controls/picture.js';
import { pointPath } from '../core/controls/svg.js';
import type { Pdf } from './paper.js';

/** How wide a stroke is and how it is broken, by what it shows. */
const STROKES: Record<string, { width: number; dash?: [number, number] }> = {
  mean: { width: 0.8 },
  limit: { width: 0.9, dash: [6, 3] },
  warning: { width: 0.7, dash: [2, 3] },
  mark: { width: 1.5 },
  axis: { width: 0.7 },
  values: { width: 0.8 },
  average: { width: 1.3 },
  above: { width: 1.3 },
  below: { width: 1.3, dash: [5, 3] },
};
/** Print within a drawing, in its own units. */
const PRINT = 10.5;

/** Draws a drawing of the core as lines and letters, `width` points wide; answers how high it came out. */
export function drawDrawing(pdf: Pdf, drawing: Drawing, x: number, y: number, width: number): number {
  const scale = width / drawing.width;
  pdf.save().translate(x, y).scale(scale);
  for (const shape of drawing.shapes) drawShape(pdf, shape);
  pdf.restore();
  return drawing.height * scale;
}

function drawShape(pdf: Pdf, shape: Shape): void {
  switch (shape.kind) {
    case 'line':
      stroked(pdf, shape.role, () => pdf.moveTo(shape.x1, shape.y1).lineTo(shape.x2, shape.y2));
      return;
    case 'path':
      if (shape.points.length < 2) return;
      stroked(pdf, shape.role, () => {
        for (const [n, [x, y]] of shape.points.entries()) {
          if (n === 0) pdf.moveTo(x, y);
          else pdf.lineTo(x, y);
        }
      });
      return;
    case 'point': {
      const hollow = shape.role === 'warn' || shape.role === 'unjudged';
      pdf.lineWidth(1.3).path(pointPath(shape));
      if (hollow) pdf.fillAndStroke('white', 'black');
      else pdf.fill('black');
      return;
    }
    case 'text': {
      pdf.font('plain').fontSize(PRINT).fillColor('black');
      const wide = pdf.widthOfString(shape.text);
      const shift = { start: 0, middle: wide / 2, end: wide }[shape.anchor];
      // Letters hang from their top here and stand on their line there.
      pdf.text(shape.text, shape.x - shift, shape.y - PRINT * 0.93, { lineBreak: false });
      return;
    }
  }
}

function stroked(pdf: Pdf, role: string, path: () => void): void {
  const { width, dash } = STROKES[role] ?? { width: 0.8 };
  pdf.lineWidth(width);
  if (dash) pdf.dash(dash[0], { space: dash[1] });
  path();
  pdf.stroke('black');
  if (dash) pdf.undash();
}
