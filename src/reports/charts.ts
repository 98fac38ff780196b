import type { EvaluationDto } from '../contract/control-series.dto.js';
import { chartedLevel } from '../core/controls/charted.js';
import { averageChart, type Drawing, levelChart, sumChart } from '../core/controls/picture.js';
import type { Instant } from '../core/time/instant.js';
import { wallTime } from '../core/time/zone.js';
import { drawDrawing } from './drawing.js';
import { footPages, type Paper, wholePdf } from './paper.js';
import { Sheet } from './sheet.js';
import { table } from './table.js';

export const CHART_KEY =
  'Dot: accepted; hollow triangle: warned; full lozenge: rejected, with the rules that fired; ring: no limits then. ' +
  'Full line: mean; dashes: 3 SD; dots: 2 SD. Upright line: a change of lot, limits or what was done.';

/** A drawing with its title. */
interface Titled {
  title: string;
  drawing: (width: number) => Drawing;
}

/** How wide a drawing is in its own units where it has half of a page, and where it has all of it. */
const HALF = 430;
const WHOLE = 720;
const GAP = 10;

/** Drawings two by two, or one over the other over the whole width. */
export function drawAll(sheet: Sheet, drawings: readonly Titled[], across: 1 | 2): void {
  const width = (sheet.width - GAP * (across - 1)) / across;
  const own = across === 1 ? WHOLE : HALF;
  for (let n = 0; n < drawings.length; n += across) {
    const row = drawings.slice(n, n + across).map(({ title, drawing }) => ({ title, drawing: drawing(own) }));
    const height = Math.max(...row.map(({ drawing }) => (drawing.height * width) / drawing.width));
    const head = sheet.size * 1.5;
    sheet.room(height + head + 4);
    row.forEach(({ title, drawing }, place) => {
      const x = sheet.left + place * (width + GAP);
      sheet.put(title, { x, y: sheet.y, width, bold: true });
      drawDrawing(sheet.pdf, drawing, x, sheet.y + head, width);
    });
    sheet.y += height + head + 4;
  }
}

/** The control chart of each level of some judged series. */
export function levelCharts(series: readonly EvaluationDto[]): Titled[] {
  return series.flatMap((judged) =>
    judged.series.levels.map(({ level }) => {
      const { points, limits, marks } = chartedLevel(judged, level);
      return {
        title: `${judged.series.title}: ${level} (${judged.series.unit})`,
        drawing: (width: number) => levelChart(points, limits, marks, width),
      };
    }),
  );
}

export interface ChartReportOptions {
  laboratory: string;
  zone: string;
  now: Instant;
  /** A4 when left out. */
  paper?: Paper;
}

/** A judged series as PDF: each level's control chart with EWMA and CUSUM under it, and in words what is marked on it. */
export function chartPdf(
  judged: EvaluationDto,
  { laboratory, zone, now, paper = 'A4' }: ChartReportOptions,
): Promise<Buffer> {
  const { series, batches } = judged;
  const sheet = new Sheet(paper, 8, `${series.title}, continued`, { title: series.title, author: laboratory, at: now });
  sheet.write(laboratory);
  sheet.write(series.title, { bold: true, size: 13 });
  const [first, last] = [batches[0]?.at, batches.at(-1)?.at];
  const period = first && last ? `${wallTime(first, zone)} to ${wallTime(last, zone)}` : 'no value: no record exists';
  sheet.write(
    `Code ${series.code}; unit ${series.unit}; values of ${period}; times in ${zone}, days on the axis in UTC.`,
  );
  const rules = Object.entries(series.rules).map(([rule, weight]) => `${rule} ${weight}`);
  sheet.write(`Rules: ${rules.join(', ') || 'none'}.`);
  sheet.write(CHART_KEY, { size: 7 });
  for (const { level } of series.levels) levelPart(sheet, judged, level, zone);
  footPages(sheet.pdf, { left: sheet.left, width: sheet.width, below: 30, size: 6.5 }, (page, of) => {
    const caution = 'A chart shows how the control behaved; what follows from it is a matter of local procedure.';
    return `${caution}\n${series.title}, made ${now}, page ${page} of ${of}`;
  });
  return wholePdf(sheet.pdf);
}

function levelPart(sheet: Sheet, judged: EvaluationDto, level: string, zone: string): void {
  const { points, limits, marks } = chartedLevel(judged, level);
  sheet.heading(`Level ${level}`, { next: 240 });
  if (points.length === 0) {
    sheet.write('No value in this period: no record exists.');
    return;
  }
  const judgedPoints = points.some(({ z }) => z !== null);
  drawAll(
    sheet,
    [
      { title: `Values (${judged.series.unit})`, drawing: (width) => levelChart(points, limits, marks, width) },
      ...(judgedPoints
        ? [
            {
              title: 'EWMA of the distance from the mean in SD',
              drawing: (width: number) => averageChart(points, width),
            },
            { title: 'CUSUM of the same', drawing: (width: number) => sumChart(points, width) },
          ]
        : []),
    ],
    1,
  );
  const told = [
    ...marks.map(({ at, text }) => ({ at, what: text, values: '' })),
    ...points
      .filter(({ fired }) => fired.length > 0)
      .map(({ at, value, z, fired, verdict }) => ({
        at,
        what: `${verdict ?? 'no limits'}: ${fired.join(', ')}`,
        values: `${value} ${judged.series.unit}${z === null ? '' : `, ${z.toFixed(2)} SD`}`,
      })),
  ].sort((a, b) => (a.at < b.at ? -1 : 1));
  if (told.length === 0) {
    sheet.write('No rule fired and nothing was marked in this period.');
    return;
  }
  table(
    sheet,
    [
      { title: 'When', share: 20 },
      { title: 'What', share: 50 },
      { title: 'Value', share: 30 },
    ],
    told.map(({ at, what, values }) => [wallTime(at, zone), what, values]),
  );
}
