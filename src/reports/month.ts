import { counted } from '../core/counted.js';
import type { MonthDto, MonthWorkDto } from '../contract/month.dto.js';
import { type Instant, plusMs } from '../core/time/instant.js';
import { span } from '../core/time/span.js';
import { localDay, wallTime } from '../core/time/zone.js';
import { CHART_KEY, drawAll, levelCharts } from './charts.js';
import { footPages, type Paper, wholePdf } from './paper.js';
import { Sheet } from './sheet.js';
import { type Cell, type Column, table } from './table.js';

export interface MonthReportOptions {
  now: Instant;
  /** A4 when left out. */
  paper?: Paper;
}

const NONE = 'no record exists';

/** The monthly quality summary: late entries first, counts beside what they are counted of, the month's charts. */
export function monthPdf(month: MonthDto, { now, paper = 'A4' }: MonthReportOptions): Promise<Buffer> {
  const title = `Quality summary ${month.month}`;
  const sheet = new Sheet(paper, 7.5, `${title}, continued`, { title, author: month.laboratory, at: now });
  head(sheet, month, now, title);
  late(sheet, month);
  work(sheet, month);
  findings(sheet, month);
  controls(sheet, month);
  deviations(sheet, month);
  stock(sheet, month);
  ranOut(sheet, month);
  rounds(sheet, month);
  charts(sheet, month);
  footPages(sheet.pdf, { left: sheet.left, width: sheet.width, below: 36, size: 6.2 }, (page, of) =>
    [
      'Counts of bench work for review by the laboratory. It judges no person and makes no diagnosis; local procedure and codes decide what follows.',
      `${title}. Made ${now} from the record up to entry ${month.seq}, hash ${month.hash}`,
      `Page ${page} of ${of}${page < of ? `; goes on on page ${page + 1}` : ''}`,
    ].join('\n'),
  );
  return wholePdf(sheet.pdf);
}

function head(sheet: Sheet, { laboratory, from, to, zone, over }: MonthDto, now: Instant, title: string): void {
  sheet.write(laboratory);
  sheet.write(title, { bold: true, size: sheet.size + 5 });
  const last = localDay(plusMs(to, -1), zone);
  sheet.write(`Runs that started from ${localDay(from, zone)} to ${last}, days and times in ${zone}.`);
  if (!over) sheet.box([`The month is not over: everything is counted up to ${wallTime(now, zone)}.`]);
}

function late(sheet: Sheet, { late: named, lateRuns, work: all, zone }: MonthDto): void {
  sheet.heading('Entered or corrected afterwards');
  const sum = (of: (each: MonthWorkDto) => number): number => all.reduce((total, each) => total + of(each), 0);
  const events = sum((each) => each.events);
  sheet.write(
    events === 0
      ? `No bench event: ${NONE}.`
      : `Entered afterwards: ${sum((each) => each.late)} of ${counted(events, 'bench event')}. Corrections: ${sum((each) => each.corrections)}. Runs concerned: ${lateRuns} of ${sum((each) => each.runs)}.`,
  );
  if (named.length === 0) return;
  table(
    sheet,
    [
      { title: 'Run', share: 8 },
      { title: 'Protocol', share: 40 },
      { title: 'Started', share: 22 },
      ...numbers('Entered afterwards', 'Corrections', 'Of events'),
    ],
    named.map(({ number, title, startedAt, late: count, corrections, events: of }) => [
      `${number}`,
      title,
      wallTime(startedAt, zone),
      `${count}`,
      `${corrections}`,
      `${of}`,
    ]),
  );
  if (lateRuns > named.length) sheet.write(`and ${lateRuns - named.length} further runs.`);
}

function work(sheet: Sheet, { work: all }: MonthDto): void {
  sheet.heading('Runs and what was released', {
    about:
      'cases: specimens and slides of patients; first releases; turnaround from the start of the run to its release',
  });
  if (all.length === 0) {
    sheet.write(`No run: ${NONE}.`);
    return;
  }
  table(
    sheet,
    [
      { title: 'Protocol', share: 34 },
      { title: 'Runs', share: 24 },
      ...numbers('Cases', 'Released', 'Clear'),
      { title: 'By exception', share: 16, align: 'right' },
      ...numbers('Amended', 'Taken back'),
      { title: 'Turnaround, median', share: 17, align: 'right' },
      { title: '9 of 10 within', share: 17, align: 'right' },
    ],
    all.map((each): Cell[] => [
      each.title,
      runsText(each),
      `${each.cases}`,
      `${each.released} of ${each.cases}`,
      `${each.clear} of ${each.released}`,
      { text: `${each.exceptions} of ${each.released}`, bold: each.exceptions > 0 },
      `${each.amended}`,
      `${each.withdrawn}`,
      each.turnaround ? minutes(each.turnaround.medianMs) : 'none yet',
      each.turnaround ? minutes(each.turnaround.p90Ms) : 'none yet',
    ]),
  );
}

function runsText({ runs, runsForPatients, abandoned }: MonthWorkDto): string {
  const apart = runs - runsForPatients;
  const told = [
    ...(abandoned > 0 ? [`${abandoned} abandoned`] : []),
    ...(apart > 0 ? [`${apart} without patients`] : []),
  ];
  return told.length > 0 ? `${runs} (${told.join(', ')})` : `${runs}`;
}

/** To whole minutes above an hour, to whole seconds below. */
function minutes(ms: number): string {
  const unit = ms >= 3_600_000 ? 60_000 : 1000;
  return span(Math.round(ms / unit) * unit);
}

function findings(sheet: Sheet, { findings: all, work: done }: MonthDto): void {
  const released = done.reduce((sum, each) => sum + each.released, 0);
  const cases = done.reduce((sum, each) => sum + each.cases, 0);
  sheet.heading('Findings by rule', {
    about: `as they stood when results were first released; ${cases - released} of ${cases} cases have no release, so theirs are not counted`,
  });
  if (all.length === 0) {
    sheet.write(released === 0 ? `Nothing was released: ${NONE}.` : 'The releases went out without a finding.');
    return;
  }
  table(
    sheet,
    [
      { title: 'Rule', share: 60 },
      ...numbers('In releases', 'Findings that stop', 'Settled', 'Gone over by exception'),
    ],
    all.map(({ title, releases, stops, settled, excepted }) => [
      title,
      `${releases}`,
      `${stops}`,
      `${settled}`,
      { text: `${excepted}`, bold: excepted > 0 },
    ]),
  );
}

function controls(sheet: Sheet, { controls: all, failures, zone }: MonthDto): void {
  sheet.heading('Controls');
  if (all.length === 0) sheet.write(`No control was due or read: ${NONE}.`);
  else {
    table(
      sheet,
      [
        { title: 'Protocol', share: 40 },
        ...numbers('Due', 'Done', 'Missed', 'Open', 'Read', 'Failed', 'Days of use', 'Days without', 'Uses without'),
      ],
      all.map((each): Cell[] => [
        each.title,
        `${each.due}`,
        `${each.answered}`,
        warned(each.missed, each.due),
        `${each.open}`,
        `${each.results}`,
        warned(each.failed, each.results),
        `${each.daysOfUse}`,
        warned(each.daysWithout, each.daysOfUse),
        warned(each.usesWithout, each.uses),
      ]),
    );
  }
  if (failures.length === 0) return;
  sheet.y += 3;
  table(
    sheet,
    [
      { title: 'Failed control', share: 44 },
      { title: 'Read', share: 20 },
      { title: 'Seen', share: 50 },
      { title: 'Matter', share: 14 },
    ],
    failures.map(({ title, requirement, at, observed, closed }): Cell[] => [
      `${title}: ${requirement}`,
      wallTime(at, zone),
      observed,
      closed ? { text: 'closed', mark: 'settled' } : { text: 'OPEN', mark: 'bad', bold: true },
    ]),
  );
}

/** A count that speaks for itself when it is not 0. */
function warned(count: number, of: number): Cell {
  return count === 0 ? `0 of ${of}` : { text: `${count} of ${of}`, mark: 'bad', bold: true };
}

function deviations(sheet: Sheet, { deviations: all, from, zone }: MonthDto): void {
  const opened = all.filter(({ openedAt }) => openedAt >= from).length;
  sheet.heading('Deviations', { about: `${opened} opened in the month, ${all.length - opened} open from before` });
  if (all.length === 0) {
    sheet.write(`None was open: ${NONE} of one.`);
    return;
  }
  table(
    sheet,
    [
      { title: 'No.', share: 8 },
      { title: 'What', share: 56 },
      { title: 'Opened', share: 26 },
      { title: 'Results', share: 34 },
      { title: 'Stands', share: 20 },
    ],
    all.map(({ number, title, openedAt, effect, state }): Cell[] => [
      `${number}`,
      title,
      wallTime(openedAt, zone),
      effect,
      { text: state, mark: state === 'closed' ? 'settled' : 'open' },
    ]),
  );
}

function stock(sheet: Sheet, { lots, waste, zone }: MonthDto): void {
  sheet.heading('Lots that expired with something left, were recalled or rejected; waste');
  if (lots.length === 0) sheet.write(`None: ${NONE} of one.`);
  else {
    table(
      sheet,
      [
        { title: 'What', share: 12 },
        { title: 'Reagent', share: 44 },
        { title: 'Lot', share: 30 },
        { title: 'When', share: 20 },
        ...numbers('Containers left then'),
      ],
      lots.map(({ what, reagent, number, at, containers }) => [
        what,
        reagent,
        number,
        wallTime(at, zone),
        `${containers}`,
      ]),
    );
  }
  const thrown = waste.map(({ reagent, containers, amount, unit }) => {
    const whole = containers === 0 ? 'part of a container' : counted(containers, 'container');
    return `${reagent}: ${whole}, ${amount} ${unit}`;
  });
  sheet.write(thrown.length === 0 ? `Discarded: nothing; ${NONE}.` : `Discarded: ${thrown.join('; ')}.`);
}

function ranOut(sheet: Sheet, { ranOut: all, zone }: MonthDto): void {
  sheet.heading('Competence, calibration and service that ran out');
  if (all.length === 0) {
    sheet.write(`None ran out: ${NONE} of one.`);
    return;
  }
  table(
    sheet,
    [
      { title: 'What', share: 14 },
      { title: 'Whose', share: 28 },
      { title: 'In', share: 46 },
      { title: 'Ended', share: 20 },
      { title: 'Renewed', share: 24 },
    ],
    all.map(({ what, name, about, at, renewedAt }): Cell[] => [
      what,
      name,
      about,
      wallTime(at, zone),
      renewedAt === null
        ? { text: `not: ${NONE}`, mark: 'open' }
        : { text: wallTime(renewedAt, zone), mark: 'settled' },
    ]),
  );
}

function rounds(sheet: Sheet, { rounds: all, zone }: MonthDto): void {
  sheet.heading('External assessment');
  if (all.length === 0) {
    sheet.write(`No round was open: ${NONE}.`);
    return;
  }
  table(
    sheet,
    [
      { title: 'Body and round', share: 40 },
      { title: 'Protocol', share: 40 },
      { title: 'Due by', share: 16 },
      { title: 'Stands', share: 24 },
      { title: 'Score', share: 24 },
    ],
    all.map(({ body, round, title, dueAt, standing, score, satisfactory }): Cell[] => [
      `${body}, ${round}`,
      title,
      localDay(plusMs(dueAt, -1), zone),
      standing,
      score === null
        ? 'none yet'
        : {
            text: `${score}, ${satisfactory === true ? 'satisfactory' : 'UNSATISFACTORY'}`,
            mark: satisfactory === true ? 'good' : 'bad',
          },
    ]),
  );
}

function charts(sheet: Sheet, { series }: MonthDto): void {
  sheet.heading('Control charts', { next: 210 });
  if (series.length === 0) {
    sheet.write(`No number of a control was measured: ${NONE}.`);
    return;
  }
  sheet.write(CHART_KEY, { size: sheet.size - 1 });
  drawAll(sheet, levelCharts(series), 2);
}

function numbers(...titles: string[]): Column[] {
  return titles.map((title) => ({ title, share: 12, align: 'right' }));
}
