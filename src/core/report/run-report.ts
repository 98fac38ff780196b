import type { Finding } from '../gate/finding.js';
import type { LimitCause } from '../lot/lot.js';
import type { SignatureMeaning } from '../record/signed.js';
import type { ReleaseKind, ReleaseStanding } from '../release/release.js';
import type { RunPurpose, Verdict } from '../run/events.js';
import type { IdentifierKind, SubjectKind } from '../specimen/subject.js';
import type { Elapsed } from '../time/duration.js';
import type { Instant } from '../time/instant.js';
import type { Measured } from '../time/measured.js';

/** All that a report on one run says, from the record up to one number; people and things by name. */
export interface RunReport {
  laboratory: { name: string; zone: string; demo: boolean };
  /** Record number of the last entry that it knows of, with that entry's hash. */
  record: { seq: number; hash: string };
  rules: string;
  run: {
    id: string;
    /** Record number of its start. */
    number: number;
    station: string;
    purpose: RunPurpose;
    startedAt: Instant;
    startedBy: string;
    supervisors: string[];
    /** When the last thing happened at the bench. */
    lastAt: Instant;
    state: 'on the bench' | 'cleared' | 'abandoned';
    abandoned: string | null;
    /** Events entered or corrected afterwards. */
    late: number;
    /** How many corrections there are. */
    corrections: number;
  };
  protocol: { title: string; revision: number; contentHash: string };
  subjects: ReportedSubject[];
  steps: ReportedStep[];
  reagents: ReportedReagent[];
  controls: ReportedControl[];
  findings: ReportedFinding[];
  results: ReportedResult[];
  signatures: ReportedSignature[];
  answers: ReportedAnswer[];
  notes: { at: Instant; by: string; text: string }[];
  pictures: ReportedPicture[];
}

export interface ReportedSubject {
  id: string;
  label: string;
  description: string;
  kind: SubjectKind;
  role: 'patient' | 'control';
  takenAt: Instant | null;
  /** What tells whose it is; a value is null once it was removed by law. Empty for control material. */
  identifiers: { kind: IdentifierKind; value: string | null }[];
}

export interface ReportedStep {
  id: string;
  /** Place in the protocol, counted from 1. */
  number: number;
  action: string;
  critical: boolean;
  optional: boolean;
  end: 'clock' | 'eye';
  minMs: number | null;
  targetMs: number;
  maxMs: number | null;
  /** Longest time since the step before; null where nothing limits it. */
  gapMaxMs: number | null;
  performances: ReportedPerformance[];
  temperatures: string[];
  /** Whether a later step was begun, so that one not done was passed over. */
  passedOver: boolean;
}

export interface ReportedPerformance {
  startedAt: Instant;
  /** Null while it has no recorded end. */
  endedAt: Instant | null;
  measured: Measured | null;
  /** Who judged the end by eye. */
  judgedBy: string | null;
  /** A time of it was entered or corrected afterwards. */
  late: boolean;
  /** Since the end of what was done before it; null for the first one. */
  gap: { from: Instant; elapsed: Elapsed | null; verdict: Measured['verdict'] | null } | null;
}

export interface ReportedReagent {
  name: string;
  container: string;
  lot: string;
  source: string;
  /** As printed or set here; null when there is none. */
  expiry: string | null;
  expirySetHere: boolean;
  /** The limit that came first of all that applied. */
  limit: { by: LimitCause; until: Instant } | null;
  trayedAt: Instant;
  /** The step for which alone it stood there. */
  step: string | null;
  /** Titles of the findings against it; empty when nothing speaks against it. */
  against: string[];
}

export interface ReportedControl {
  id: string;
  kind: string;
  required: boolean;
  expected: string;
  /** Those that stood in the run. */
  readings: {
    label: string;
    observed: string | null;
    passed: boolean | null;
    by: string | null;
    at: Instant | null;
    second: 'none' | 'agrees' | 'disagrees' | 'settled';
  }[];
  /** What the gate says where it was not in the run: nothing means that another run's control answers. */
  open: string[];
}

export interface ReportedFinding extends Pick<
  Finding,
  'id' | 'rule' | 'weight' | 'what' | 'at' | 'measured' | 'against' | 'settled'
> {
  title: string;
  /** Label of the specimen or slide; null for the whole run. */
  on: string | null;
  how: {
    way: 'acknowledged' | 'found to conform' | 'found not to conform' | 'released over';
    by: string;
    at: Instant;
    reason: string | null;
  }[];
}

/** One specimen or slide at one release point, with what was released there. */
export interface ReportedResult {
  subject: string;
  point: string;
  verdict: Verdict;
  /** False while the protocol has not come so far. */
  reached: boolean;
  releases: {
    kind: ReleaseKind;
    /** Null for stained material, or once removed by law. */
    words: string | null;
    standing: ReleaseStanding;
    at: Instant;
    marks: string[];
    judgedTo: number;
    place: string | null;
    withdrawn: { at: Instant; reason: string } | null;
    questions: { reason: string; outcome: string | null }[];
  }[];
}

export interface ReportedSignature {
  name: string;
  at: Instant;
  meaning: SignatureMeaning;
  /** What was signed. */
  of: string;
  recordHash: string;
}

/** A picture that was kept with the run and not taken back. */
export interface ReportedPicture {
  subject: string;
  /** The action of the step that it was taken at; null when it was taken at none. */
  step: string | null;
  at: Instant;
  by: string;
  file: string;
  sha256: string;
}

/** An answer spoken before it was signed. */
export interface ReportedAnswer {
  subject: string;
  at: Instant;
  by: string;
  listener: string;
  readBack: boolean;
  verdict: Verdict;
  words: string | null;
}
