import { drawCode } from './code.js';
import { laboratoryName, openPdf, type Pdf, wholePdf } from './paper.js';

const POINTS_A_MM = 72 / 25.4;
/** A usual card, in mm: ID-1 of ISO/IEC 7810, from memory; its trade calls it CR80. */
export const CARD_MM = { width: 85.6, height: 53.98 } as const;
const MARGIN_MM = 4;
const CODE_MM = 36;
const GAP_MM = 2;
/** Under code and name: the label in letters, and what to do with one that was found. */
const FOOT_MM = 9;
const NAME_SIZES = [15, 13, 11, 9, 7.5, 6, 5] as const;
const SMALL_SIZES = [8, 7, 6, 5, 4.5] as const;

export interface BadgeInPrint {
  /** What a scanner reads. */
  label: string;
  person: string;
  laboratory: { name: string; demo: boolean };
}

/** A badge as one page of the size of a card: whose it is, of which laboratory, and its code, which is printed this once. */
export function badgePdf({ label, person, laboratory }: BadgeInPrint): Promise<Buffer> {
  const size: [number, number] = [CARD_MM.width * POINTS_A_MM, CARD_MM.height * POINTS_A_MM];
  const pdf = openPdf({ size, margin: 0, lang: 'en', displayTitle: true, info: { Title: `Badge of ${person}` } });
  const [margin, side, gap] = [MARGIN_MM, CODE_MM, GAP_MM].map((mm) => mm * POINTS_A_MM) as [number, number, number];
  const foot = size[1] - (MARGIN_MM + FOOT_MM) * POINTS_A_MM;
  const width = size[0] - 2 * margin - side - gap;

  const name = laboratoryName(laboratory);
  const small = fitting(pdf, name, { width, height: (foot - margin) * 0.4, sizes: SMALL_SIZES, font: 'plain' });
  const below = margin + write(pdf, name, { x: margin, y: margin, width, size: small, font: 'plain' }) + gap;
  const large = fitting(pdf, person, { width, height: foot - below, sizes: NAME_SIZES, font: 'bold' });
  write(pdf, person, { x: margin, y: below, width, size: large, font: 'bold' });
  drawCode(pdf, label, { x: size[0] - margin - side, y: margin, side, kind: 'qrcode' });

  const across = { x: margin, width: size[0] - 2 * margin };
  write(pdf, label, { ...across, y: foot + gap, size: 9, font: 'bold', align: 'right' });
  write(pdf, 'Found? Hand it in at the laboratory.', { ...across, y: foot + gap + 12, size: 6, font: 'plain' });
  return wholePdf(pdf);
}

type Font = 'plain' | 'bold';

/** The largest of these sizes in which a text stays within a height and none of its words is torn; else the smallest. */
function fitting(
  pdf: Pdf,
  text: string,
  { width, height, sizes, font }: { width: number; height: number; sizes: readonly number[]; font: Font },
): number {
  const fits = sizes.find((size) => {
    pdf.font(font).fontSize(size);
    return (
      pdf.heightOfString(text, { width }) <= height &&
      text.split(/\s+/).every((word) => pdf.widthOfString(word) <= width)
    );
  });
  return fits ?? sizes.at(-1) ?? 0;
}

/** Answers how high it stands. */
function write(
  pdf: Pdf,
  text: string,
  {
    x,
    y,
    width,
    size,
    font,
    align = 'left',
  }: { x: number; y: number; width: number; size: number; font: Font; align?: 'left' | 'right' },
): number {
  pdf.fillColor('black').font(font).fontSize(size);
  const height = pdf.heightOfString(text, { width });
  pdf.text(text, x, y, { width, align });
  return height;
}
