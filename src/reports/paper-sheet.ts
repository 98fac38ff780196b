import type { Step } from '../core/protocol/protocol.js';
import type { PrintedSheet } from '../core/report/printed-sheet.js';
import { drawCode } from './code.js';
import { footPages, laboratoryName, wholePdf } from './paper.js';
import { Sheet } from './sheet.js';
import { table } from './table.js';

const SIZE = 8;
const CODE = 62;
/** Two lines of print are a line of handwriting. */
const BLANK = ' \n ';
const SPECIMEN_LINES = 4;

const CAUTION =
  'For work while the program cannot be reached. Follow the local procedure for downtime. Write times to the second where you can, with initials; strike errors through once, so that they stay readable.';
const AFTERWARDS =
  'Enter it as soon as the program is back. Each sheet is entered once; one that was not used is declared void. The paper is kept with the record.';

/** Numbered sheets with blanks for all that a run records, each beginning on a page of its own. */
export function paperSheetsPdf(
  sheets: readonly PrintedSheet[],
  { laboratory, demo, zone, now }: { laboratory: string; demo: boolean; zone: string; now: string },
): Promise<Buffer> {
  const pdf = new Sheet('A4', SIZE, '', { title: 'Paper sheets', author: laboratory, at: now });
  const name = laboratoryName({ name: laboratory, demo });
  for (const [n, each] of sheets.entries()) {
    if (n > 0) {
      pdf.over = '';
      pdf.room(Number.POSITIVE_INFINITY);
    }
    pdf.over = `Paper sheet ${each.number}: ${each.protocol.title}, continued`;
    head(pdf, each, name, zone);
    blanks(pdf, each);
  }
  footPages(pdf.pdf, { left: pdf.left, width: pdf.width, below: 36, size: 6.5 }, (page, of) => {
    return `${AFTERWARDS}\nPage ${page} of ${of}`;
  });
  return wholePdf(pdf.pdf);
}

function head(
  pdf: Sheet,
  { number, label, protocol, revision, contentHash }: PrintedSheet,
  name: string,
  zone: string,
): void {
  const { left, y, width } = pdf;
  const beside = width - CODE - 10;
  drawCode(pdf.pdf, label, { x: left + width - CODE, y, side: CODE, kind: 'datamatrix' });
  const title = { width: beside, bold: true, size: SIZE + 6 };
  pdf.put(`Paper sheet ${number}`, { x: left, y, ...title });
  const lines = [
    protocol.title,
    `Revision ${revision} (content ${contentHash.slice(0, 12)}…) · ${label}`,
    `${name} · times in ${zone}`,
  ];
  let at = y + pdf.heightOf(' ', beside, title);
  for (const [n, line] of lines.entries()) {
    const look = { width: beside, bold: n === 0, size: n === 0 ? SIZE + 2 : SIZE };
    pdf.put(line, { x: left, y: at, ...look });
    at += pdf.heightOf(line, beside, look) + 1;
  }
  pdf.y = Math.max(at, y + CODE) + 4;
  pdf.box([CAUTION]);
}

function blanks(pdf: Sheet, { protocol, reagents }: PrintedSheet): void {
  const { steps, controls, cautions } = protocol;
  for (const { agent, signal, advice } of cautions) {
    pdf.write([signal === 'none' ? '' : `${signal}: `, agent, advice ? `. ${advice}` : ''].join(''), {
      size: SIZE - 0.5,
    });
  }
  table(
    pdf,
    [
      { title: 'Date', share: 18 },
      { title: 'Station', share: 26 },
      { title: 'Clock that was read', share: 26 },
      { title: 'It was ahead (+) or behind (−) the server by', share: 38 },
      { title: 'Done by, initials', share: 32 },
    ],
    [[BLANK, '', '', '', '']],
  );
  pdf.heading('Specimens, slides and controls: label, position in the rack, two identifiers compared by');
  table(
    pdf,
    [
      { title: 'Label', share: 40 },
      { title: 'Position', share: 15 },
      { title: 'Compared by', share: 20 },
      { title: 'Label', share: 40 },
      { title: 'Position', share: 15 },
      { title: 'Compared by', share: 20 },
    ],
    Array.from({ length: SPECIMEN_LINES }, () => [BLANK, '', '', '', '', '']),
  );
  pdf.heading('Reagents on the tray');
  const codes = [...new Set(steps.flatMap(({ reagent }) => reagent ?? []))];
  table(
    pdf,
    [
      { title: 'Reagent', share: 60 },
      { title: 'Label of the bottle or bath, its lot and expiry', share: 70 },
      { title: 'On the tray at', share: 25 },
    ],
    codes.map((code) => [`${reagents.get(code) ?? code}\n `, '', '']),
  );
  pdf.heading('Steps');
  table(
    pdf,
    [
      { title: '', share: 6 },
      { title: 'What to do', share: 62 },
      { title: 'How long', share: 40 },
      { title: 'Start, by the clock', share: 26 },
      { title: 'End, or duration by stopwatch', share: 30 },
      { title: 'Initials', share: 14 },
    ],
    steps.map((step, n) => [`${n + 1}`, actionText(step, reagents), timeText(step), BLANK, '', '']),
  );
  if (controls.length > 0) {
    pdf.heading('Controls');
    table(
      pdf,
      [
        { title: 'Control', share: 30 },
        { title: 'Expected', share: 60 },
        { title: 'Seen', share: 50 },
        { title: 'As expected?', share: 20 },
        { title: 'Initials', share: 14 },
      ],
      controls.map(({ id, kind, expected }) => [`${kind} (${id})`, expected, BLANK, 'yes / no', '']),
    );
  }
  pdf.heading('What went otherwise than written', { next: 60 });
  table(pdf, [{ title: '', share: 1 }], [[BLANK], [BLANK]]);
}

function actionText({ action, reagent, vessel, optional, critical }: Step, reagents: PrintedSheet['reagents']): string {
  const more = [optional ? 'may be left out' : '', critical ? 'critical' : ''].filter(Boolean).join(', ');
  return [
    `${action}${more === '' ? '' : ` (${more})`}`,
    reagent ? `${reagents.get(reagent) ?? reagent}, ${vessel}` : vessel,
  ].join('\n');
}

function timeText({ time: { min, target, max, unit }, end, gap }: Step): string {
  const range = [min === undefined ? '' : `from ${min}`, max === undefined ? '' : `to ${max}`]
    .filter(Boolean)
    .join(' ');
  return [
    `${range === '' ? '' : `${range} ${unit}, `}aim ${target} ${unit}${end === 'eye' ? ', by eye' : ''}`,
    gap?.max === undefined ? '' : `start within ${gap.max} ${gap.unit} of the step before`,
  ]
    .filter(Boolean)
    .join('\n');
}
