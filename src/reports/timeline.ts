import type { ReportedPerformance, ReportedStep } from '../core/report/run-report.js';
import type { Elapsed } from '../core/time/duration.js';
import { epochMs, instantOf } from '../core/time/instant.js';
import type { TimeVerdict } from '../core/time/measured.js';
import { span } from '../core/time/span.js';
import { wallTime } from '../core/time/zone.js';
import { drawMark, type Mark } from './marks.js';
import type { Sheet } from './sheet.js';
import { type TimeAxis, timeAxis, ticksOf } from './time-axis.js';

const WORDS: Record<TimeVerdict, string> = {
  within: 'in window',
  short: 'too short',
  long: 'too long',
  indeterminate: 'undecided',
  torn: 'its end lies before its start',
};
const MARK_OF: Record<TimeVerdict, Mark> = {
  within: 'good',
  short: 'early',
  long: 'late',
  indeterminate: 'open',
  torn: 'open',
};

export const TIMELINE_KEY =
  'Box: the allowed window, from the shortest to the longest time; open at the right where it goes on or nothing limits it. ' +
  'Upright stroke: target. Bar: from start to end. Ring: ended by eye. Dots: the gap since the step before, whose longest time is given. ' +
  'Disc: in its window. Arrowhead: too short or too long. Lozenge: undecided.';

/** A gap shorter than this, in points, is not seen. */
const SEEN = 3;

/** What one row shows. */
interface Row {
  step: ReportedStep;
  performance: ReportedPerformance | null;
  name: string;
  figures: string[];
  mark: Mark | null;
}

/** The steps of a run as bars on one axis of time, each within the outline of its window, with the same in words. */
export function drawTimeline(sheet: Sheet, steps: readonly ReportedStep[], zone: string): void {
  const rows = steps.flatMap((step) => rowsOf(step));
  const performed = steps.flatMap(({ performances }) => performances);
  const first = performed.map(({ startedAt }) => startedAt).sort()[0];
  const places = {
    name: { x: sheet.left, width: sheet.width * 0.27 },
    axis: { x: sheet.left + sheet.width * 0.285, width: sheet.width * 0.36 },
    figures: { x: sheet.left + sheet.width * 0.665, width: sheet.width * 0.335 },
  };
  if (first === undefined) {
    sheet.write('No step was begun: no record exists of any.');
    return;
  }
  const axis = timeAxis(
    performed.flatMap(({ startedAt, endedAt }) => [startedAt, ...(endedAt === null ? [] : [endedAt])]),
    steps.flatMap(({ performances, maxMs, targetMs }) =>
      performances.map(({ startedAt }) => epochMs(startedAt) + (maxMs ?? targetMs)),
    ),
    places.axis.width,
  );
  const heightOf = (row: Row): number =>
    Math.max(
      sheet.heightOf(row.name, places.name.width),
      row.figures.reduce((sum, text) => sum + sheet.heightOf(text, places.figures.width - sheet.size - 2), 0),
      sheet.size * 1.3,
    ) + 1.5;
  const scale = (): void => {
    drawScale(sheet, axis, places.axis.x, zone);
  };
  scale();
  for (const row of rows) {
    const height = heightOf(row);
    if (sheet.room(height)) scale();
    drawRow(sheet, row, axis, places, height);
    sheet.y += height;
    rule(sheet);
  }
  sheet.y += 1;
  sheet.write(TIMELINE_KEY, { size: sheet.size - 1 });
}

function rowsOf(step: ReportedStep): Row[] {
  const name = `${step.number}  ${step.action}${step.critical ? ' (critical)' : ''}\n${windowText(step)}`;
  if (step.performances.length === 0) {
    const open = step.passedOver && !step.optional;
    const word = open ? 'not recorded, though later steps were' : step.passedOver ? 'left out (optional)' : 'not begun';
    return [{ step, performance: null, name, figures: [word], mark: open ? 'bad' : 'note' }];
  }
  return step.performances.map((performance, n) => ({
    step,
    performance,
    name: n === 0 ? name : `${step.number}  ${step.action}, done again`,
    figures: figuresOf(step, performance, n),
    mark: performance.measured ? MARK_OF[performance.measured.verdict] : 'open',
  }));
}

function figuresOf(step: ReportedStep, performance: ReportedPerformance, again: number): string[] {
  const { measured, judgedBy, late, gap } = performance;
  const took = measured
    ? [tookText(measured.elapsed), WORDS[measured.verdict]].filter(Boolean).join(', ')
    : 'no recorded end';
  const more = [
    ...(step.end === 'eye' && measured ? [judgedBy === null ? 'by eye, nobody named' : `by eye: ${judgedBy}`] : []),
    ...(gap && step.gapMaxMs !== null ? [gapText(gap, step.gapMaxMs)] : []),
    ...(late ? ['entered or corrected afterwards'] : []),
    ...(again === 0 && step.temperatures.length > 0 ? [`read ${step.temperatures.join(', ')}`] : []),
  ];
  return [took, ...(more.length > 0 ? [more.join('; ')] : [])];
}

function gapText({ elapsed, verdict }: NonNullable<ReportedPerformance['gap']>, most: number): string {
  const word = verdict === null || verdict === 'within' ? '' : `, ${WORDS[verdict]}`;
  return `gap ${tookText(elapsed)} (≤ ${span(most)})${word}`;
}

function tookText(elapsed: Elapsed | null): string {
  if (!elapsed) return '';
  const { durationMs, uncertaintyMs } = elapsed;
  return `${span(durationMs)} ${uncertaintyMs === null ? '± unknown' : `± ${span(uncertaintyMs)}`}`;
}

function windowText({ minMs, maxMs, targetMs }: ReportedStep): string {
  const target = `target ${span(targetMs)}`;
  if (minMs !== null && maxMs !== null) return `${span(minMs)} to ${span(maxMs)}, ${target}`;
  if (minMs !== null) return `at least ${span(minMs)}, ${target}`;
  return maxMs === null ? `no limit, ${target}` : `at most ${span(maxMs)}, ${target}`;
}

/** Minutes and seconds since the start over the axis, the wall clock at its start, and what is cut. */
function drawScale(sheet: Sheet, axis: TimeAxis, x: number, zone: string): void {
  const { pdf, size } = sheet;
  const small = size - 1;
  sheet.room(small * 2 + 20);
  sheet.put(`0 is ${wallTime(instantOf(axis.startMs), zone)}`, {
    x: sheet.left,
    y: sheet.y,
    width: sheet.width * 0.25,
    size: small,
  });
  const y = sheet.y + small * 1.3 + 3;
  for (const tick of ticksOf(axis, 34)) {
    const at = x + axis.at(axis.startMs + tick);
    sheet.put(tick === 0 ? '0' : span(tick), { x: at - 25, y: sheet.y, width: 50, size: small, align: 'center' });
    pdf
      .moveTo(at, y - 2.5)
      .lineTo(at, y)
      .stroke('black');
  }
  pdf
    .moveTo(x, y)
    .lineTo(x + axis.at(axis.horizonMs), y)
    .stroke('black');
  for (const { fromMs, toMs } of axis.cuts) {
    const middle = x + (axis.at(fromMs) + axis.at(toMs)) / 2;
    pdf.rect(middle - 3, y - 2, 6, 4).fill('white');
    for (const shift of [-3, 1]) {
      pdf
        .moveTo(middle + shift, y + 3)
        .lineTo(middle + shift + 3, y - 3)
        .stroke('black');
    }
    sheet.put(`${span(toMs - fromMs)}, drawn short`, {
      x: middle - 40,
      y: sheet.y,
      width: 80,
      size: small,
      align: 'center',
    });
  }
  sheet.y = y + 2;
}

interface Places {
  name: { x: number; width: number };
  axis: { x: number; width: number };
  figures: { x: number; width: number };
}

function drawRow(
  sheet: Sheet,
  row: Row,
  axis: TimeAxis,
  { name, axis: across, figures }: Places,
  height: number,
): void {
  const { size, y } = sheet;
  sheet.put(row.name, { ...name, y });
  let at = y;
  const indent = size + 2;
  for (const [n, text] of row.figures.entries()) {
    if (n === 0 && row.mark) drawMark(sheet.pdf, row.mark, figures.x + size * 0.4, at + size * 0.58, size * 0.34);
    const width = figures.width - indent;
    sheet.put(text, { x: figures.x + indent, y: at, width, bold: n === 0 && row.mark !== 'good' });
    at += sheet.heightOf(text, width);
  }
  if (row.performance) drawBar(sheet, row, row.performance, axis, across.x, y + (height - 1.5) / 2);
}

function drawBar(
  { pdf }: Sheet,
  { step, mark }: Row,
  { startedAt, endedAt, gap }: ReportedPerformance,
  axis: TimeAxis,
  x: number,
  y: number,
): void {
  const place = (ms: number): number => x + axis.at(ms);
  const start = epochMs(startedAt);
  const edge = place(axis.horizonMs);
  const [low, high] = [place(start + (step.minMs ?? 0)), step.maxMs === null ? edge : place(start + step.maxMs)];
  const open = step.maxMs === null || start + step.maxMs > axis.horizonMs;
  pdf.rect(low, y - 4.5, Math.max(high - low, 0.6), 9).fill('#e4e4e4');
  pdf
    .moveTo(high, y - 4.5)
    .lineTo(low, y - 4.5)
    .lineTo(low, y + 4.5)
    .lineTo(high, y + 4.5);
  if (!open) pdf.closePath();
  pdf.stroke('black');
  const target = start + step.targetMs;
  if (target <= axis.horizonMs) {
    pdf
      .lineWidth(1)
      .moveTo(place(target), y - 6)
      .lineTo(place(target), y + 6)
      .stroke('black')
      .lineWidth(0.5);
  }
  if (gap) {
    const from = place(epochMs(gap.from));
    pdf.dash(0.8, { space: 1.4 }).moveTo(from, y).lineTo(place(start), y).stroke('black').undash();
    if (step.gapMaxMs !== null && place(start) - from > SEEN) {
      const limit = place(epochMs(gap.from) + step.gapMaxMs);
      pdf
        .moveTo(limit, y - 2.5)
        .lineTo(limit, y + 2.5)
        .stroke('black');
    }
  }
  const end = place(endedAt === null ? axis.endMs : epochMs(endedAt));
  const length = Math.max(end - place(start), 0.8);
  if (endedAt === null)
    pdf
      .dash(2, { space: 1 })
      .rect(place(start), y - 2, length, 4)
      .stroke('black')
      .undash();
  else pdf.rect(place(start), y - 2, length, 4).fill('#3a3a3a');
  if (step.end === 'eye' && endedAt !== null) drawMark(pdf, 'eye', end, y, 2.6);
  if (mark !== null && mark !== 'good' && endedAt !== null) {
    drawMark(pdf, mark, Math.min(end + 7, edge + 4), y, 2.8);
  }
}

function rule({ pdf, left, width, y }: Sheet): void {
  pdf
    .moveTo(left, y - 1)
    .lineTo(left + width, y - 1)
    .lineWidth(0.2)
    .stroke('black')
    .lineWidth(0.5);
}
