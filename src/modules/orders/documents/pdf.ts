import { quantityOf } from '../../../core/ledger/amount.js';
import { footPages, openPdf, type Pdf, wholePdf } from '../../../reports/paper.js';
import { decimal, type OrderPaper, type Party } from './order-paper.js';

const MARGIN = 56;
/** Where the columns of the table begin and how wide they are, in points from the left margin. */
const COLUMNS = [
  { title: '', at: 0, width: 22, align: 'left' },
  { title: 'Item', at: 22, width: 80, align: 'left' },
  { title: 'Product', at: 106, width: 178, align: 'left' },
  { title: 'Packs', at: 290, width: 40, align: 'right' },
  { title: 'Per pack', at: 336, width: 64, align: 'right' },
  { title: 'Total', at: 406, width: 76, align: 'right' },
] as const;
const WIDTH = 483;

/** The order as a PDF letter to the supplier, on A4. */
export function orderPdf(paper: OrderPaper): Promise<Buffer> {
  const document = openPdf(
    {
      size: 'A4',
      margin: MARGIN,
      bufferPages: true,
      info: { Title: `Order ${paper.number}`, Author: paper.buyer.name, CreationDate: new Date(paper.day) },
    },
    'normal',
  );
  head(document, paper);
  table(document, paper);
  foot(document, paper);
  footPages(
    document,
    { left: MARGIN, width: WIDTH, below: MARGIN - 18 },
    (page, of) => `Order ${paper.number}, page ${page} of ${of}`,
  );
  return wholePdf(document);
}

function head(document: Pdf, paper: OrderPaper): void {
  const { buyer, supplier, number: order, day, wantedBy, customerNumber } = paper;
  party(document, 'From, and to be delivered to', buyer, MARGIN, MARGIN);
  const left = document.y;
  party(document, 'To', supplier, MARGIN + 260, MARGIN);
  document.y = Math.max(left, document.y) + 28;
  document.font('bold').fontSize(18).text(`Order ${order}`, MARGIN);
  document.moveDown(0.4).font('plain').fontSize(9.5);
  const facts = [
    ['Date', day],
    ...(wantedBy === null ? [] : [['Wanted by', wantedBy]]),
    ...(customerNumber === null ? [] : [['Our number with you', customerNumber]]),
  ];
  for (const [name, value] of facts) document.text(`${name}: ${value}`, MARGIN);
  document.moveDown(1.2);
}

function party(document: Pdf, title: string, { name, address }: Party, x: number, y: number): void {
  document.font('plain').fontSize(8).text(title, x, y, { width: 220 });
  document.moveDown(0.3).font('bold').fontSize(10).text(name, { width: 220 });
  document.font('plain');
  if (address !== null) document.text(address, { width: 220 });
}

function table(document: Pdf, { lines, currency, totalCents }: OrderPaper): void {
  titles(document, currency);
  for (const [index, line] of lines.entries()) {
    const held = quantityOf(line.containerMicro, line.unit).value;
    const name = `${line.name}\n${line.packContainers} × ${held} ${line.unit}${line.gtin === null ? '' : `\nGTIN ${line.gtin}`}`;
    const cells = [
      `${index + 1}`,
      line.itemNumber,
      name,
      `${line.packs}`,
      decimal(line.priceCents),
      decimal(line.packs * line.priceCents),
    ];
    document.font('plain').fontSize(9);
    const height = Math.max(...COLUMNS.map(({ width }, n) => document.heightOfString(cells[n] ?? '', { width }))) + 10;
    if (document.y + height > document.page.height - MARGIN - 30) {
      document.addPage();
      titles(document, currency);
      document.font('plain').fontSize(9);
    }
    row(document, cells, height);
  }
  const y = document.y + 6;
  document.font('bold').fontSize(10);
  document.text(`Total ${currency}`, MARGIN + 290, y, { width: 110, align: 'right' });
  document.text(decimal(totalCents), MARGIN + 406, y, { width: 76, align: 'right' });
}

function titles(document: Pdf, currency: string): void {
  document.font('bold').fontSize(8.5);
  row(
    document,
    COLUMNS.map(({ title }) => (title === 'Total' ? `Total ${currency}` : title)),
    18,
  );
}

function row(document: Pdf, cells: readonly string[], height: number): void {
  const y = document.y;
  for (const [n, { at, width, align }] of COLUMNS.entries()) {
    document.text(cells[n] ?? '', MARGIN + at, y, { width, align });
  }
  document.y = y + height;
  document
    .moveTo(MARGIN, document.y - 5)
    .lineTo(MARGIN + WIDTH, document.y - 5)
    .lineWidth(0.5)
    .stroke();
}

function foot(document: Pdf, { approvedBy, signedBy }: OrderPaper): void {
  if (document.y > document.page.height - MARGIN - 80) document.addPage();
  document.moveDown(2).font('plain').fontSize(9);
  document.text(signedBy === null ? `Approved by ${approvedBy}.` : `Approved and signed by ${signedBy}.`, MARGIN);
  document.text(
    'Please confirm the order with its number and the day of delivery, and name lot and expiry on the note.',
  );
}
