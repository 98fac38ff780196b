import { createRequire } from 'node:module';
import { type Font, openSync } from 'fontkit';
import PDFDocument from 'pdfkit';

const require = createRequire(import.meta.url);
/** Embedded, so that every letter of a name or a unit prints. */
const FACES = {
  normal: { plain: 'DejaVuSans.ttf', bold: 'DejaVuSans-Bold.ttf' },
  condensed: { plain: 'DejaVuSansCondensed.ttf', bold: 'DejaVuSansCondensed-Bold.ttf' },
} as const;

const opened = new Map<string, Font>();

/** A font, read once: reading it takes longer than writing a page with it. */
function fontOf(file: string): Font {
  const known = opened.get(file) ?? (openSync(require.resolve(`dejavu-fonts-ttf/ttf/${file}`)) as Font);
  opened.set(file, known);
  return known;
}

export const PAPERS = ['A4', 'Letter'] as const;
export type Paper = (typeof PAPERS)[number];

export type Pdf = InstanceType<typeof PDFDocument>;

/** A document with its two fonts, 'plain' and 'bold'. Nothing in it depends on when it is made but what is passed. */
export function openPdf(options: PDFKit.PDFDocumentOptions, face: keyof typeof FACES = 'condensed'): Pdf {
  const pdf = new PDFDocument(options);
  for (const name of ['plain', 'bold'] as const) {
    // pdfkit takes an open font as well; its types do not say so.
    pdf.registerFont(name, fontOf(FACES[face][name]) as unknown as PDFKit.Mixins.PDFFontSource);
  }
  return pdf;
}

/** An invented laboratory is called so, unless its name says it. */
export function laboratoryName({ name, demo }: { name: string; demo: boolean }): string {
  return demo && !name.includes('(invented)') ? `${name} (invented)` : name;
}

/** Ends a document and gives all of it. */
export function wholePdf(pdf: Pdf): Promise<Buffer> {
  const chunks: Buffer[] = [];
  const whole = new Promise<Buffer>((resolve, reject) => {
    pdf.on('data', (chunk: Buffer) => chunks.push(chunk));
    pdf.on('end', () => resolve(Buffer.concat(chunks)));
    pdf.on('error', reject);
  });
  pdf.end();
  return whole;
}

/** Writes a line under each page of a document whose pages are kept, once all of them are there. */
export function footPages(
  pdf: Pdf,
  { left, width, below, size = 8 }: { left: number; width: number; below: number; size?: number },
  text: (page: number, of: number) => string,
): void {
  const { count } = pdf.bufferedPageRange();
  for (let page = 0; page < count; page += 1) {
    pdf.switchToPage(page);
    // Under the margin, where text would otherwise begin another page.
    pdf.page.margins.bottom = 0;
    const y = pdf.page.height - below;
    pdf.font('plain').fontSize(size).fillColor('black');
    pdf.text(text(page + 1, count), left, y, { width, align: 'center' });
  }
}
