import type { InstrumentKind } from '../instruments/instrument.js';
import type { IdentifierChoice } from '../pack/choices.js';
import type { Signature } from '../record/signed.js';
import type { ReleaseException, ReleaseKind } from '../release/release.js';
import type { Verdict } from '../run/events.js';
import type { RunView } from '../run/view.js';
import type { IdentifierKind, SubjectKind } from '../specimen/subject.js';
import type { Instant } from '../time/instant.js';

/** How those who worked stand in a copy: by name, or as one and the same nameless person. */
export const STAFF_FORMS = ['named', 'masked'] as const;
export type StaffForm = (typeof STAFF_FORMS)[number];

/** What a copy tells of people. */
export interface Disclosure {
  /** Patients: not at all, as one and the same nameless person each, or in full. */
  identifiers: IdentifierChoice;
  staff: StaffForm;
}

/** A specimen, slide or control material, with what it was cut from. */
export interface SubjectFacts {
  id: string;
  kind: SubjectKind;
  label: string;
  description: string;
  parentId: string | null;
  takenAt: Instant | null;
}

/** The lot of a container that stood on the tray. */
export interface LotSource {
  id: string;
  source: string;
  /** As printed; null for what was made here without one. */
  expiry: string | null;
}

export interface InstrumentSource {
  id: string;
  code: string;
  name: string;
  kind: InstrumentKind;
  serial: string | null;
}

/** A release as signed, with what became of it. */
export interface ReleasedFacts {
  id: string;
  subjectId: string;
  point: string;
  kind: ReleaseKind;
  verdict: Verdict;
  signature: Signature;
  exception: ReleaseException | null;
  amends: string | null;
  withdrawal: { at: Instant; reason: string; signature: Signature } | null;
}

/** An entry of the record that is about the run. */
export interface RecordedAct {
  seq: number;
  at: Instant;
  act: string;
  personId: string | null;
  deviceId: string | null;
  hash: string;
}

/** All that a run's copy is made of. */
export interface RunSource {
  laboratory: { id: string; name: string };
  run: RunView;
  /** Those of the run and what they were cut from. */
  subjects: SubjectFacts[];
  /** What tells whose a specimen or slide is, by its owner; a value is null once it was removed by law. */
  identifiers: { ownerId: string; kind: IdentifierKind; value: string | null }[];
  /** Those of the containers on the tray. */
  lots: LotSource[];
  /** Names of reagents by code. */
  reagents: Record<string, string>;
  /** Those that stood at the run's bench place when it started. */
  instruments: InstrumentSource[];
  releases: ReleasedFacts[];
  /** In the order of the record. */
  entries: RecordedAct[];
  /** Names of people by id, signers and those who acted included. */
  people: Record<string, string>;
  /** Names of devices by id. */
  devices: Record<string, string>;
}
