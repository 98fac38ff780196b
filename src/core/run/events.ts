import type { CriterionReading, ReadingKind } from '../controls/result.js';
import type { Signature } from '../record/signed.js';
import type { Stamp } from '../time/duration.js';
import type { Instant } from '../time/instant.js';

/** When and by which clock something happened at the bench. */
export interface BenchStamp extends Stamp {
  /** The station or program that took the time. */
  device: string;
  monotonicMs: number | null;
  /** Server clock minus device clock when last in contact, milliseconds; null before any contact. */
  offsetMs: number | null;
  /** Round trip of that contact, milliseconds. */
  roundTripMs: number | null;
  /** True when the time was typed in afterwards. */
  late: boolean;
  /**
   * How many more events of the run the device still held when it sent this one; absent where events come from a program
   * that holds none back.
   */
  unsent?: number;
  /** The day pass under which it was entered without a network, and the proof over its text; see `passText`. */
  pass?: { id: string; proof: string };
}

/** What happened at the bench, by kind. Never edited: a 'corrected' event names the one it corrects. */
export interface RunEventData {
  /**
   * A container was put on the tray for a reagent, at set-up or in exchange for another; with `step`, for that step's
   * vessel only.
   */
  'tray-scanned': { reagent: string; container: string; step?: string };
  /** `again` says that a step which had ended is done once more. */
  'step-started': { step: string; again?: true };
  /** `judgedBy` is the person whose eye ended the step. */
  'step-ended': { step: string; judgedBy?: string };
  'temperature-read': { step: string; value: number; unit: string };
  /** The named event happened at another time, or not at all. */
  corrected: { event: string; at?: Instant; uncertaintyMs?: number; withdrawn?: true; reason: string };
  noted: { text: string; step?: string; subject?: string };
  abandoned: { reason: string };
  /** One slide or specimen is spoiled (dried, lost, broken); the rest of the rack goes on. */
  'subject-spoiled': { subject: string; what: string };
  /**
   * `reading` is 'first' when left out; `criteria` say what was looked at, `pictures` are ids of files.
   */
  'control-read': {
    control: string;
    observed: string;
    passed: boolean;
    reading?: ReadingKind;
    criteria?: CriterionReading[];
    pictures?: string[];
  };
  /** A caution was seen and accepted for the whole rack. */
  acknowledged: { finding: string; reason?: string };
  /** A person decided what a clock could not; only for undecided findings. */
  resolved: { finding: string; conforms: boolean; reason: string };
  /** A person vouches for the two identifiers of a specimen or slide. */
  'identity-confirmed': { subject: string };
  /** The answer spoken before it is signed, and what the gate said then. `words` names a sealed value. */
  answered: {
    subject: string;
    point: string;
    words: string;
    listener: string;
    readBack: boolean;
    verdict: Verdict;
    findings: string[];
  };
  /** The collector's signed word that an irreplaceable specimen is the patient's, where two identifiers cannot be confirmed. */
  attested: { subject: string; statement: string; signature: Signature };
  /** Who stands by a trainee in this run. */
  supervised: { supervisor: string };
  /** A page has sent all that it held of the run. */
  'device-settled': { device: string };
  /** Two people's word that what a device may still hold of the run will never come. */
  'device-lost': { device: string; reason: string; signatures: Signature[] };
  /** The station was cleared; the run leaves the bench. */
  cleared: { note?: string };
}

export type Verdict = 'clear' | 'held';
export type RunEventKind = keyof RunEventData;

export const RUN_EVENT_KINDS = [
  'tray-scanned',
  'step-started',
  'step-ended',
  'temperature-read',
  'corrected',
  'noted',
  'abandoned',
  'subject-spoiled',
  'control-read',
  'acknowledged',
  'resolved',
  'identity-confirmed',
  'answered',
  'attested',
  'supervised',
  'device-settled',
  'device-lost',
  'cleared',
] as const satisfies readonly RunEventKind[];

/** One event of a run, discriminated by its kind. */
export type RunEvent = {
  [K in RunEventKind]: {
    id: string;
    runId: string;
    /** Record number of the act that wrote it; the order in which the server learnt of it. */
    seq: number;
    kind: K;
    data: RunEventData[K];
    stamp: BenchStamp;
    personId: string;
    receivedAt: Instant;
  };
}[RunEventKind];

/** What a run is for. Only a run for patients can release a result. */
export const RUN_PURPOSES = ['patients', 'acceptance', 'training'] as const;
export type RunPurpose = (typeof RUN_PURPOSES)[number];

/** A specimen, slide or control material in a run. */
export interface RunSubject {
  /** Id of the subject within the run. */
  id: string;
  subjectId: string;
  role: 'patient' | 'control';
  /** Which of the protocol's control requirements a control answers. */
  control?: string;
}
