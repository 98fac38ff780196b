import type { IdentifierChoice } from '../core/pack/choices.js';
import type { ReportedSubject, RunReport } from '../core/report/run-report.js';
import { type Instant, plusMs } from '../core/time/instant.js';
import { localDay, wallTime } from '../core/time/zone.js';
import type { Paper } from './paper.js';

export interface RunReportOptions {
  /** When the report is made; nothing else in it depends on the clock. */
  now: Instant;
  /** A4 when left out. */
  paper?: Paper;
  /** Masked when left out. */
  identifiers?: IdentifierChoice;
  /** Whether spoken and released words are printed, which may name a patient; only with the identifiers when left out. */
  words?: boolean;
}

/** How times, labels and what tells whose it is stand in this report. */
export class Told {
  private readonly zone: string;
  private readonly identifiers: IdentifierChoice;
  readonly words: boolean;

  constructor(report: RunReport, { identifiers = 'masked', words = identifiers === 'included' }: RunReportOptions) {
    this.zone = report.laboratory.zone;
    this.identifiers = identifiers;
    this.words = words;
  }

  time(at: Instant): string {
    return wallTime(at, this.zone);
  }

  /** A limit is the first instant that is too late: of a day's end the day itself. */
  until(at: Instant): string {
    const last = localDay(plusMs(at, -1), this.zone);
    return localDay(at, this.zone) === last ? `before ${this.time(at).slice(0, 16)}` : `end of ${last}`;
  }

  /** The same text with every instant in it by the laboratory's clock. */
  within(text: string): string {
    return text.replaceAll(LABEL, short).replaceAll(/\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z/g, (at) => this.time(at));
  }

  whose({ identifiers }: ReportedSubject): string {
    if (this.identifiers === 'left out') return 'left out';
    if (identifiers.length === 0) return 'no record exists';
    return identifiers
      .map(({ kind, value }) => {
        if (value === null) return `${kind}: removed by law`;
        return this.identifiers === 'masked' ? `${kind}: •••••` : `${kind}: ${value}`;
      })
      .join('; ');
  }

  said(words: string | null): string {
    if (words === null) return 'the words were removed by law';
    return this.words ? `“${words}”` : 'the words are kept under seal and are left out here';
  }
}

export const LABEL = /SW1:[A-Z]:[0-9A-Z-]+/g;

/** What tells one of our own labels from another. */
export function short(label: string): string {
  return label.replace(/^SW1:[A-Z]:/, '');
}
