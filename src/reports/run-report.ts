import { counted } from '../core/counted.js';
import type { Weight } from '../core/gate/finding.js';
import type { ReportedFinding, ReportedReagent, ReportedResult, RunReport } from '../core/report/run-report.js';
import type { Mark } from './marks.js';
import { footPages, laboratoryName, wholePdf } from './paper.js';
import { Sheet } from './sheet.js';
import { type Cell, table } from './table.js';
import { drawTimeline } from './timeline.js';
import { LABEL, type RunReportOptions, short, Told } from './told.js';

export type { RunReportOptions } from './told.js';

/** Print that is still read without trouble; the largest in which all of it stands on one page is taken. */
const SIZES = [8, 7.5, 7, 6.5] as const;
/** What takes more than so many pages in the largest print does not fit on one in the smallest. */
const HOPELESS = 1.6;
/** For what needs further pages anyway. */
const SIZE_OF_MANY_PAGES = 7.5;

const CAUTION =
  'This report shows bench work and what was signed for it. It is not a diagnosis; local procedure, codes and licensed judgement decide.';

/** The report on one run: one page if all of it can stand there, else as many as it takes, and it says so. */
export function runReportPdf(report: RunReport, options: RunReportOptions): Promise<Buffer> {
  for (const size of SIZES) {
    const sheet = written(report, options, size);
    if (sheet.pages === 1) return finished(sheet, report, options);
    // What is far too long at one size does not fit at the next ones.
    if (sheet.length > HOPELESS) break;
  }
  return finished(written(report, options, SIZE_OF_MANY_PAGES), report, options);
}

function written(report: RunReport, options: RunReportOptions, size: number): Sheet {
  const { laboratory, run, protocol } = report;
  const title = `Run ${run.number}: ${protocol.title}`;
  const sheet = new Sheet(options.paper ?? 'A4', size, `${title}, continued`, {
    title,
    author: laboratory.name,
    at: options.now,
  });
  const told = new Told(report, options);
  head(sheet, report, told);
  marks(sheet, report, told);
  results(sheet, report, told);
  sheet.heading('Steps against their windows', { next: 60 });
  drawTimeline(sheet, report.steps, laboratory.zone);
  reagents(sheet, report, told);
  controls(sheet, report, told);
  findings(sheet, report, told);
  signatures(sheet, report, told);
  said(sheet, report, told);
  pictures(sheet, report, told);
  return sheet;
}

function finished(sheet: Sheet, { record, run, rules }: RunReport, { now }: RunReportOptions): Promise<Buffer> {
  const made = `Run ${run.number}. Made ${now} from the record up to entry ${record.seq}, hash ${record.hash}; rules ${rules}`;
  footPages(sheet.pdf, { left: sheet.left, width: sheet.width, below: 36, size: 6.5 }, (page, of) => {
    const on = page < of ? `; goes on on page ${page + 1}` : '';
    return `${CAUTION}\n${made}\nPage ${page} of ${of}${on}`;
  });
  return wholePdf(sheet.pdf);
}

const PURPOSES = {
  patients: 'for patients',
  acceptance: 'to accept a lot, not for patients',
  training: 'for training, not for patients',
};

function head(sheet: Sheet, { laboratory, protocol, run, steps }: RunReport, told: Told): void {
  const x = sheet.left;
  const top = sheet.y;
  const half = sheet.width * 0.56;
  sheet.put(laboratoryName(laboratory), { x, y: top, width: half });
  const titleY = top + sheet.size * 1.35;
  const title = { width: half, bold: true, size: sheet.size + 5 };
  sheet.put(protocol.title, { x, y: titleY, ...title });
  const under = titleY + sheet.heightOf(protocol.title, half, title);
  const about = `Revision ${protocol.revision} (content ${protocol.contentHash.slice(0, 12)}…), ${counted(steps.length, 'step')}`;
  sheet.put(about, { x, y: under, width: half });
  const facts: [string, string][] = [
    ['Run', `${run.number} (${run.id})`],
    ['Purpose', PURPOSES[run.purpose]],
    ['Where', run.station],
    ['Started', `${told.time(run.startedAt)} by ${run.startedBy}`],
    ['Last act', `${told.time(run.lastAt)}, ${run.state}`],
    ...(run.supervisors.length > 0 ? [['Supervised by', run.supervisors.join(', ')] as [string, string]] : []),
    ['Times in', laboratory.zone],
  ];
  let y = top;
  const right = x + half + 10;
  const label = sheet.size * 7;
  const width = sheet.width - half - 10 - label;
  for (const [name, value] of facts) {
    sheet.put(name, { x: right, y, width: label, bold: true });
    sheet.put(value, { x: right + label, y, width });
    y += sheet.heightOf(value, width) + 0.5;
  }
  sheet.y = Math.max(y, under + sheet.heightOf(about, half)) + 3;
}

/** What must stand beside the result wherever it is shown. */
function marks(sheet: Sheet, { results: all, run, findings: found }: RunReport, told: Told): void {
  const lines = all.flatMap(({ subject, point, releases }) =>
    releases.flatMap(({ standing, marks: own, withdrawn, questions, at }) => {
      const which = `${short(subject)}, ${point}, released ${told.time(at)}`;
      const open = questions.filter(({ outcome }) => outcome === null).map(({ reason }) => reason);
      return [
        ...(standing === 'withdrawn' && withdrawn
          ? [`WITHDRAWN ${told.time(withdrawn.at)}: ${which}. ${withdrawn.reason}`]
          : []),
        ...(standing === 'in question' ? [`IN QUESTION: ${which}. ${open.join(' ')}`] : []),
        ...(standing === 'amended' ? [`AMENDED: ${which}; a later release takes its place.`] : []),
        ...own.map((mark) => told.within(`${short(subject)}: ${mark}`)),
      ];
    }),
  );
  const more = [
    ...(run.abandoned === null ? [] : [`ABANDONED: ${run.abandoned}`]),
    ...(run.purpose === 'patients' ? [] : ['NOT FOR PATIENTS: nothing of this run can be released.']),
    ...(run.late + run.corrections > 0
      ? [`${run.late} entered or corrected afterwards, ${run.corrections} corrections; each is marked where it stands.`]
      : []),
  ];
  const box = [...new Set([...more, ...lines])];
  if (box.length > 0) sheet.box(box);
  sheet.write(`Gate when this report was made: ${standing(found)}`);
}

function standing(found: readonly ReportedFinding[]): string {
  const open = found.filter(({ weight, settled }) => weight !== 'note' && !settled);
  if (open.length === 0) return 'no unsettled stop and no open caution.';
  const over = open.filter(({ how }) => how.some(({ way }) => way === 'released over')).length;
  const rest = open.length - over;
  return [
    ...(over > 0 ? [`${over} stood when an exception released over ${over === 1 ? 'it' : 'them'}`] : []),
    ...(rest > 0 ? [`${rest} OPEN`] : []),
  ]
    .join(', ')
    .concat('; see Findings.');
}

function results(sheet: Sheet, { results: all, subjects }: RunReport, told: Told): void {
  sheet.heading('Specimens and what was released');
  if (all.length === 0) {
    sheet.write('No specimen or slide of a patient stood in this run: nothing of it can be released.');
    return;
  }
  const rows = all.map((result, n): Cell[] => {
    const subject = subjects.find(({ label }) => label === result.subject);
    const again = all[n - 1]?.subject === result.subject;
    return [
      again || !subject ? '' : { text: short(subject.label), bold: true },
      again || !subject
        ? ''
        : `${subject.description}${subject.takenAt === null ? '' : `, taken ${told.time(subject.takenAt)}`}`,
      again || !subject ? '' : told.whose(subject),
      result.point,
      gateCell(result),
      result.releases.map((each) => releaseText(each, told)).join('\n') || 'nothing released: no record exists',
    ];
  });
  table(
    sheet,
    [
      { title: 'Label', share: 13 },
      { title: 'What', share: 22 },
      { title: 'Whose', share: 22 },
      { title: 'Release point', share: 13 },
      { title: 'Gate now', share: 12 },
      { title: 'Released', share: 34 },
    ],
    rows,
  );
}

function gateCell({ verdict, reached }: ReportedResult): Cell {
  if (!reached) return { text: 'not reached', mark: 'open' };
  return verdict === 'clear' ? { text: 'clear', mark: 'good' } : { text: 'held', mark: 'stop' };
}

function releaseText(
  { kind, words, standing, at, place, judgedTo }: ReportedResult['releases'][number],
  told: Told,
): string {
  return [
    `${kind}, ${standing}, ${told.time(at)}, judged to entry ${judgedTo}`,
    ...(place === null ? [] : [`read at ${place}`]),
    ...(kind === 'stained material' && words === null ? [] : [told.said(words)]),
  ].join('; ');
}

function reagents(sheet: Sheet, { reagents: all }: RunReport, told: Told): void {
  sheet.heading('Reagents');
  if (all.length === 0) {
    sheet.write('No container was scanned: no record exists of what was used.');
    return;
  }
  table(
    sheet,
    [
      { title: 'Reagent', share: 32 },
      { title: 'Lot', share: 18 },
      { title: 'Container', share: 14 },
      { title: 'Expiry', share: 15 },
      { title: 'Limit that applied', share: 34 },
      { title: 'Since', share: 12 },
      { title: 'Found', share: 18 },
    ],
    all.map((each): Cell[] => [
      `${each.name}${each.step === null ? '' : ` (for ${each.step} alone)`}`,
      each.lot,
      short(each.container),
      each.expiry === null ? 'none printed' : `${each.expiry}${each.expirySetHere ? ' (set here)' : ''}`,
      limitText(each, told),
      told.time(each.trayedAt).slice(11),
      each.against.length === 0 ? { text: 'fit', mark: 'good' } : { text: each.against.join('; '), mark: 'bad' },
    ]),
  );
}

function limitText({ limit }: ReportedReagent, told: Told): string {
  if (!limit) return 'none';
  const why = limit.by === 'opened' ? 'opened life' : limit.by === 'prepared' ? 'life as prepared' : limit.by;
  return `${told.until(limit.until)}, ${why}`;
}

function controls(sheet: Sheet, { controls: all }: RunReport, told: Told): void {
  sheet.heading('Controls');
  if (all.length === 0) {
    sheet.write('The plan that was in force asks for none.');
    return;
  }
  table(
    sheet,
    [
      { title: 'Control', share: 22 },
      { title: 'Label', share: 13 },
      { title: 'Expected', share: 32 },
      { title: 'Seen', share: 32 },
      { title: 'Reading', share: 14 },
      { title: 'Read by', share: 24 },
    ],
    all.flatMap(({ kind, required, expected, readings, open }): Cell[][] => {
      const name = `${kind}${required ? '' : ' (advised)'}`;
      if (readings.length === 0) {
        const answered = required ? 'not in this run; that of another run answers' : 'not in this run, not required';
        const cell: Cell =
          open.length > 0
            ? { text: 'missing', mark: 'bad' }
            : { text: required ? 'answered' : 'none', mark: required ? 'good' : 'note' };
        return [[name, '', expected, open.length > 0 ? told.within(open.join(' ')) : answered, cell, '']];
      }
      return readings.map((read) => [
        name,
        short(read.label),
        expected,
        read.observed ?? 'not read: no record exists',
        readingCell(read.passed),
        read.at === null ? '' : `${read.by}, ${told.time(read.at)}${SECOND[read.second]}`,
      ]);
    }),
  );
}

const SECOND = {
  none: '',
  agrees: '; a second reader agrees',
  disagrees: '; a second reader disagrees',
  settled: '; two readers differed and agreed',
} as const;

function readingCell(passed: boolean | null): Cell {
  if (passed === null) return { text: 'not read', mark: 'open' };
  return passed ? { text: 'passed', mark: 'good' } : { text: 'FAILED', mark: 'bad', bold: true };
}

const WEIGHT_MARKS: Record<Weight, Mark> = { stop: 'stop', caution: 'caution', note: 'note' };

function findings(sheet: Sheet, { findings: all }: RunReport, told: Told): void {
  sheet.heading('Findings', {
    about: 'full square: stop; double frame: caution; dotted: note; ring with a dot: settled',
  });
  if (all.length === 0) {
    sheet.write('The gate finds nothing against this run.');
    return;
  }
  table(
    sheet,
    [
      { title: 'Weight', share: 13 },
      { title: 'On', share: 13 },
      { title: 'What', share: 52 },
      { title: 'Measured, against what', share: 44 },
      { title: 'How settled', share: 38 },
    ],
    all.map((each): Cell[] => [
      {
        text: each.weight,
        mark: each.settled ? 'settled' : WEIGHT_MARKS[each.weight],
        bold: !each.settled && each.weight === 'stop',
      },
      each.on === null ? 'the run' : short(each.on),
      told.within(each.what),
      measuredText(each, told),
      settledText(each, told),
    ]),
  );
}

function measuredText({ measured, against }: ReportedFinding, told: Told): string {
  return [measured ?? [], against === null ? [] : `against ${against}`]
    .flat()
    .map((text) => told.within(text))
    .join('; ');
}

function settledText({ settled, weight, how }: ReportedFinding, told: Told): string {
  const ways = how.map(
    ({ way, by, at, reason }) => `${way} by ${by}, ${told.time(at)}${reason === null ? '' : `: ${reason}`}`,
  );
  if (ways.length > 0) return ways.join('; ');
  if (settled) return 'settled';
  return weight === 'note' ? 'holds nothing' : 'OPEN';
}

function signatures(sheet: Sheet, { signatures: all }: RunReport, told: Told): void {
  sheet.heading('Signatures');
  if (all.length === 0) {
    sheet.write('Nothing was signed: no record exists.');
    return;
  }
  table(
    sheet,
    [
      { title: 'Name', share: 26 },
      { title: 'When', share: 25 },
      { title: 'Meaning', share: 14 },
      { title: 'Of what', share: 60 },
      { title: 'Hash of what was signed', share: 22 },
    ],
    all.map(({ name, at, meaning, of, recordHash }): Cell[] => [
      name,
      told.time(at),
      meaning,
      of.replaceAll(LABEL, short),
      `${recordHash.slice(0, 16)}…`,
    ]),
  );
}

/** The pictures themselves are no part of the page; their hashes tell which they are. */
function pictures(sheet: Sheet, { pictures: all }: RunReport, told: Told): void {
  if (all.length === 0) return;
  sheet.heading('Pictures kept');
  table(
    sheet,
    [
      { title: 'Of', share: 20 },
      { title: 'At step', share: 45 },
      { title: 'Kept', share: 40 },
      { title: 'File', share: 30 },
      { title: 'SHA-256', share: 22 },
    ],
    all.map(({ subject, step, at, by, file, sha256 }): Cell[] => [
      short(subject),
      step ?? 'none',
      `${told.time(at)}, ${by}`,
      file,
      `${sha256.slice(0, 16)}…`,
    ]),
  );
}

/** Answers spoken before they were signed, and notes. */
function said(sheet: Sheet, { answers, notes }: RunReport, told: Told): void {
  if (answers.length > 0) {
    sheet.heading('Spoken before it was signed');
    for (const { subject, at, by, listener, readBack, verdict, words } of answers) {
      const heard = readBack ? 'read back' : 'NOT read back';
      sheet.write(
        `${short(subject)}, ${told.time(at)}, ${by} to ${listener}, ${heard}; the gate said ${verdict} then: ${told.said(words)}`,
      );
    }
  }
  if (notes.length === 0) return;
  sheet.heading('Notes');
  for (const { at, by, text } of notes) sheet.write(`${told.time(at)}, ${by}: ${text}`);
}
