import type { LabelText } from '../../core/labels/label-text.js';
import { labelAt, type LabelSheet } from '../../core/labels/sheets.js';
import { Refusal } from '../../core/refusal.js';
import { type CodeKind, drawCode } from '../../reports/code.js';
import { openPdf, type Pdf, wholePdf } from '../../reports/paper.js';

const POINTS_A_MM = 72 / 25.4;
/** Smaller print is not read at arm's length through goggles; larger only wastes the label. */
const SIZES = [8, 7.5, 7, 6.5, 6, 5.5, 5, 4.5] as const;
/** A label is cut a little off its place. */
const MARGIN_MM = 1.5;

/**
 * Labels on a sheet as PDF, beginning at a position counted from 0. Refuses a sheet whose labels are too small for what must
 * stand on them: nothing is cut off.
 */
export function labelsPdf(
  labels: readonly LabelText[],
  sheet: LabelSheet,
  { start, kind, title }: { start: number; kind: CodeKind; title: string },
): Promise<Buffer> {
  const size: [number, number] = [sheet.page.width * POINTS_A_MM, sheet.page.height * POINTS_A_MM];
  const pdf = openPdf({ size, margin: 0, autoFirstPage: false, info: { Title: title } });
  const each = sheet.columns * sheet.rows;
  for (const [n, label] of labels.entries()) {
    const position = start + n;
    if (n === 0 || position % each === 0) pdf.addPage();
    const { x, y } = labelAt(sheet, position);
    drawLabel(pdf, label, sheet, { x: x * POINTS_A_MM, y: y * POINTS_A_MM, kind });
  }
  return wholePdf(pdf);
}

interface Line {
  text: string;
  bold: boolean;
}

function drawLabel(
  pdf: Pdf,
  label: LabelText,
  sheet: LabelSheet,
  { x, y, kind }: { x: number; y: number; kind: CodeKind },
): void {
  const margin = MARGIN_MM * POINTS_A_MM;
  const width = sheet.label.width * POINTS_A_MM - 2 * margin;
  const height = sheet.label.height * POINTS_A_MM - 2 * margin;
  const code = Math.min(height * 0.62, width * 0.26);
  const [left, top] = [x + margin, y + margin];
  // Beside the code a line is narrow; one that begins beneath it has the whole width.
  const widthAt = (used: number): number => (used < code + margin / 2 ? width - code - margin : width);
  const fitting = layout(pdf, label, widthAt, height);
  if (!fitting) {
    throw new Refusal(
      'invalid',
      'label-too-small',
      `A label of ${sheet.label.width} x ${sheet.label.height} mm is too small for what must stand on that of ${label.identity}; take a sheet with larger labels.`,
      [{ at: 'sheet', message: 'take a sheet with larger labels' }],
    );
  }
  let used = 0;
  for (const { text, bold } of fitting.lines) {
    const across = { width: widthAt(used) };
    pdf.font(bold ? 'bold' : 'plain').fontSize(fitting.size);
    pdf.text(text, left, top + used, { ...across, lineGap: 0 });
    used += pdf.heightOfString(text, across);
  }
  drawCode(pdf, label.code, { x: left + width - code, y: top, side: code, kind });
}

/**
 * The largest print in which all of it fits: a line each with hazards as full statements if they may be, else in as few words as
 * tell them, else with the lines run together, at last without the codes of hazards that the words tell.
 */
function layout(
  pdf: Pdf,
  label: LabelText,
  widthAt: (used: number) => number,
  height: number,
): { size: number; lines: Line[] } | null {
  const apart = label.lines.map((text) => ({ text, bold: false }));
  const together = [{ text: label.lines.join('; '), bold: false }];
  const head = [
    { text: label.identity, bold: true },
    { text: label.code, bold: true },
  ];
  const ways: Line[][] = [
    [...head, ...apart, ...statements(label)],
    [...head, ...apart, ...words(label)],
    [...head, ...together, ...words(label)],
    // The codes only repeat the words, and the safety data sheet has them.
    [...head, ...together, ...words(label).slice(0, 1)],
  ];
  for (const lines of ways) {
    for (const size of SIZES) {
      const used = lines.reduce((sum, { text, bold }) => {
        pdf.font(bold ? 'bold' : 'plain').fontSize(size);
        return sum + pdf.heightOfString(text, { width: widthAt(sum) });
      }, 0);
      if (used <= height) return { size, lines };
    }
  }
  return null;
}

function statements({ hazards }: LabelText): Line[] {
  if (!hazards) return [];
  const told = hazards.codes.map((code, n) => `${code} ${hazards.statements[n] ?? ''}`.trim()).join('. ');
  return told === '' ? signal(hazards) : [...signal(hazards), { text: `${told}.`, bold: false }];
}

function words({ hazards }: LabelText): Line[] {
  if (!hazards) return [];
  const told = [hazards.signal, hazards.words.join(', ')].filter(Boolean).join(': ');
  return [
    { text: told, bold: true },
    ...(hazards.codes.length > 0 ? [{ text: hazards.codes.join(' '), bold: false }] : []),
  ];
}

function signal({ signal: word }: NonNullable<LabelText['hazards']>): Line[] {
  return word === null ? [] : [{ text: word, bold: true }];
}
