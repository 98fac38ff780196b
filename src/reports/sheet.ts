import { openPdf, type Paper, type Pdf } from './paper.js';

/** Space at the sides and the top, and under what is written, in points. */
const SIDE = 34;
const TOP = 32;
const FOOT = 46;

/** A page after page that is written from the top down, in one size of print. */
export class Sheet {
  readonly pdf: Pdf;
  readonly left = SIDE;
  readonly width: number;
  /** Where the next thing stands. */
  y = TOP;
  private readonly bottom: number;

  /** `size` is that of plain text, in points; `over` stands at the top of each further page. */
  constructor(
    paper: Paper,
    readonly size: number,
    public over: string,
    info: { title: string; author: string; at: string },
  ) {
    this.pdf = openPdf({
      size: paper === 'A4' ? 'A4' : 'LETTER',
      margins: { left: SIDE, right: SIDE, top: TOP, bottom: 0 },
      bufferPages: true,
      lang: 'en',
      displayTitle: true,
      info: { Title: info.title, Author: info.author, CreationDate: new Date(info.at) },
    });
    this.width = this.pdf.page.width - 2 * SIDE;
    this.bottom = this.pdf.page.height - FOOT;
    this.pdf.lineWidth(0.5);
  }

  get pages(): number {
    return this.pdf.bufferedPageRange().count;
  }

  /** How many pages are filled, the last one in part. */
  get length(): number {
    return this.pages - 1 + (this.y - TOP) / (this.bottom - TOP);
  }

  /** Begins a new page when less than this is left; says whether it did. */
  room(height: number): boolean {
    if (this.y + height <= this.bottom) return false;
    this.pdf.addPage();
    this.pdf.lineWidth(0.5);
    this.y = TOP;
    this.write(this.over, { size: this.size - 0.5 });
    this.y += 4;
    return true;
  }

  /** How high a text is in a width. */
  heightOf(text: string, width: number, { bold = false, size = this.size } = {}): number {
    return this.pdf
      .font(bold ? 'bold' : 'plain')
      .fontSize(size)
      .heightOfString(text, { width, lineGap: 0 });
  }

  /** Writes text at a place without moving on. */
  put(text: string, { x, y, width, bold = false, size = this.size, align = 'left' }: Place): void {
    this.pdf
      .fillColor('black')
      .font(bold ? 'bold' : 'plain')
      .fontSize(size)
      .text(text, x, y, { width, align, lineGap: 0 });
  }

  /** Writes a paragraph over the whole width and moves under it. */
  write(text: string, { bold = false, size = this.size, indent = 0 } = {}): void {
    const width = this.width - indent;
    const height = this.heightOf(text, width, { bold, size });
    this.room(height);
    this.put(text, { x: this.left + indent, y: this.y, width, bold, size });
    this.y += height + 1.5;
  }

  /** The title of a part, kept together with the `next` points under it. */
  heading(text: string, { about = '', next = 24 } = {}): void {
    this.room(this.size * 2 + next);
    this.y += this.size * 0.55;
    const x = this.left;
    this.pdf
      .moveTo(x, this.y)
      .lineTo(x + this.width, this.y)
      .lineWidth(0.9)
      .stroke('black')
      .lineWidth(0.5);
    this.y += 2.5;
    const size = this.size + 1;
    this.put(text, { x, y: this.y, width: this.width, bold: true, size });
    if (about !== '') {
      const used = this.pdf.font('bold').fontSize(size).widthOfString(text) + 8;
      this.put(about, { x: x + used, y: this.y + 1, width: this.width - used, size: this.size - 0.5 });
    }
    this.y += size * 1.4;
  }

  /** A box around text that must not be overlooked. */
  box(lines: readonly string[]): void {
    const width = this.width - 12;
    const heights = lines.map((line) => this.heightOf(line, width, { bold: true }));
    const height = heights.reduce((sum, each) => sum + each, 8);
    this.room(height + 4);
    this.pdf.lineWidth(1).rect(this.left, this.y, this.width, height).stroke('black');
    this.pdf
      .lineWidth(0.5)
      .rect(this.left + 2, this.y + 2, this.width - 4, height - 4)
      .stroke('black');
    let y = this.y + 4;
    for (const [n, line] of lines.entries()) {
      this.put(line, { x: this.left + 6, y, width, bold: true });
      y += heights[n] ?? 0;
    }
    this.y += height + 4;
  }
}

interface Place {
  x: number;
  y: number;
  width: number;
  bold?: boolean;
  size?: number;
  align?: 'left' | 'right' | 'center';
}
