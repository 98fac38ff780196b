import type { Finding } from '../core/gate/finding.js';
import type { Judgement, PointJudgement } from '../core/gate/judge.js';
import type { ContainerState, Limit, LotStanding } from '../core/lot/lot.js';
import type { ContainerCondition } from '../core/lot/receive.js';
import type { UnusableReason } from '../core/lot/validity.js';
import type { Role } from '../core/people/roles.js';
import type { Protocol, Reagent, StainCategory } from '../core/protocol/protocol.js';
import type { BenchStamp, RunEvent, RunEventData, RunEventKind, RunPurpose, Verdict } from '../core/run/events.js';
import type { RunView } from '../core/run/view.js';
import type { Instant } from '../core/time/instant.js';

export interface Session {
  person: { id: string; name: string; login: string; roles: Role[] };
  csrf: string;
  laboratory: { id: string; name: string; zone: string; demo: boolean };
}

/** A signature as it stands with what was signed. */
export interface Signature {
  personId: string;
  name: string;
  at: Instant;
  meaning: 'review' | 'approval' | 'responsibility' | 'authorship' | 'release';
  recordHash: string;
}

export type RevisionState = 'draft' | 'reviewed' | 'approved' | 'superseded' | 'retired';

export interface ProtocolLine {
  id: string;
  title: string;
  category: StainCategory;
  setting: Protocol['setting'];
  revisions: {
    id: string;
    number: number;
    state: RevisionState;
    effectiveFrom: string | null;
    inForce: boolean;
    openProposals: number;
  }[];
}

export interface Revision {
  id: string;
  protocolId: string;
  number: number;
  title: string;
  content: Protocol;
  contentHash: string;
  /** Id of the revision that it was made from. */
  basedOn: string | null;
  state: RevisionState;
  effectiveFrom: Instant | null;
  inForce: boolean;
  /** What was decided about it, earliest first. */
  acts: RevisionAct[];
  openProposals: OpenProposal[];
}

export interface RevisionAct {
  kind: 'drafted' | 'reviewed' | 'approved' | 'superseded' | 'retired';
  at: Instant;
  personId: string | null;
  person: string | null;
  data: {
    note?: string;
    effectiveFrom?: Instant;
    verification?: { reference: string; summary: string };
    newAssessment?: boolean;
    /** Id of the revision that takes its place. */
    by?: string;
    signature?: Signature;
  };
}

export type FigureValue = Readonly<Record<string, string | number>>;

/** A figure that is still a proposal of the shipped file. */
export interface OpenProposal {
  path: readonly (string | number)[];
  text: string;
  value: FigureValue;
}

/** The figure stands as it is, or as the value says. */
export interface Confirmation {
  path: readonly (string | number)[];
  value?: FigureValue;
}

/** One place at which two revisions differ; a side that has nothing there is absent. */
export interface Difference {
  path: readonly (string | number)[];
  a?: unknown;
  b?: unknown;
}

export interface Approval {
  /** First day of use, by the laboratory's calendar. */
  effectiveFrom: string;
  verification: { reference: string; summary: string };
  newAssessment: boolean;
  password: string;
}

export interface Subject {
  id: string;
  kind: 'specimen' | 'slide' | 'control';
  label: string;
  parentId: string | null;
  description: string;
  takenAt: Instant | null;
  irreplaceable: boolean;
  /** Absent in lists and for those who have no need to know the patient. */
  identifiers?: { kind: Identifier['kind']; value: string | null }[];
}

export interface Identifier {
  kind: 'patient number' | 'patient name' | 'birth date';
  value: string;
}

export interface NewSubject {
  kind: Subject['kind'];
  label?: string;
  parentId?: string;
  description: string;
  takenAt?: Instant;
  irreplaceable: boolean;
  identifiers?: Identifier[];
}

/** What a scanned text names, and whether it may be used now. */
export interface Scanned {
  kind: 'container' | 'subject' | 'lot' | 'reagent' | 'unknown';
  message: string;
  warnings: { code: string; message: string }[];
  needsConfirmation: boolean;
  reasons?: UnusableReason[];
  container?: Container;
  lot?: Lot;
  /** Lots that it may be, when it is not one for sure. */
  candidates?: Lot[];
  reagent?: Reagent;
  subject?: Subject;
  gs1?: { gtin?: string; lot?: string; serial?: string; expiry?: string };
}

export interface Container {
  id: string;
  lotId: string;
  label: string;
  serial: string | null;
  size: string | null;
  state: ContainerCondition;
  states: {
    at: Instant;
    state: ContainerState;
    /** End of the opened life. */
    until: Instant | null;
    reason: string | null;
    personId: string | null;
  }[];
  /** All limits that apply to it, those of its lot included. */
  limits: Limit[];
  /** Whether it may be used for patients now. */
  usable: boolean;
  reasons: UnusableReason[];
}

export interface Lot {
  id: string;
  reagent: string;
  number: string;
  gtin: string | null;
  origin: 'supplied' | 'prepared';
  source: string;
  receivedAt: Instant;
  expiry: string | null;
  openedLife: string | null;
  strength: string | null;
  storage: string | null;
  limits: Limit[];
  usableUntil: Instant | null;
  standing: LotStanding;
  decisions: { at: Instant; standing: LotStanding; reason: string; personId: string | null }[];
  containers: Container[];
}

export interface NewLot {
  reagent: string;
  number: string;
  gtin?: string;
  origin: Lot['origin'];
  source: string;
  expiry?: string;
  openedLife?: string;
  /** How long a preparation keeps. */
  life?: string;
  /** Ids of the containers that a preparation is made of. */
  components?: string[];
  strength?: string;
  storage?: string;
  containers: { label?: string; serial?: string; size?: string }[];
}

export type ReleaseKind = 'stained material' | 'adequacy' | 'preliminary impression';

export interface NewRelease {
  subjectId: string;
  point: string;
  kind: ReleaseKind;
  words?: string;
  password: string;
}

export interface Release {
  id: string;
  runId: string;
  subjectId: string;
  point: string;
  kind: ReleaseKind;
  wordsId: string | null;
  verdict: Verdict;
  findings: Finding[];
  /** Facts up to this record number were judged. */
  judgedTo: number;
  rules: string;
  signature: Signature;
}

export interface Person {
  id: string;
  name: string;
  login: string;
  roles: Role[];
  disabled: boolean;
  lockedUntil: Instant | null;
  createdAt: Instant;
}

export interface Device {
  id: string;
  name: string;
  roles: Role[];
  createdAt: Instant;
  revokedAt: Instant | null;
}

export interface RecordEntry {
  seq: number;
  at: Instant;
  act: string;
  /** The entry's canonical bytes as text. */
  body: string;
  hash: string;
}

/** Something that people should know, until one of them has seen it. */
export interface NoticeOfMatter {
  id: string;
  matter: string;
  at: Instant;
  text: string;
  runId: string | null;
  seenBy: string | null;
}

export type BenchEventKind = Exclude<RunEventKind, 'answered'>;

export interface NewRunEvent {
  kind: BenchEventKind;
  data: RunEventData[BenchEventKind];
  stamp: BenchStamp;
}

export interface NewAnswer {
  subjectId: string;
  point: string;
  words: string;
  listener: string;
  readBack: boolean;
  stamp: BenchStamp;
}

export interface NewRun {
  revisionId: string;
  station: string;
  purpose: RunPurpose;
  subjects: { subjectId: string; role: 'patient' | 'control'; control?: string }[];
}

interface Answers<Output> {
  responses: { 200: { headers: Record<string, unknown>; content: { 'application/json': Output } } };
}

interface Takes<Parameters> {
  parameters: Parameters;
}

interface Sends<Body> {
  requestBody: { content: { 'application/json': Body } };
}

interface ById {
  path: { id: string };
}

/** The routes that the pages call, in the form in which the OpenAPI document's types are generated. */
export interface paths {
  '/api/session': {
    get: Answers<Session>;
    post: Sends<{ login: string; password: string }> & Answers<Session>;
    delete: Answers<unknown>;
  };
  '/api/setup': {
    post: Sends<{
      token: string;
      laboratory?: { name: string; zone: string };
      name: string;
      login: string;
      password: string;
    }> &
      Answers<unknown>;
  };
  '/api/time': { get: Takes<{ query: { t1: number } }> & Answers<{ t1: number; t2: number; t3: number }> };
  '/api/protocols': { get: Answers<ProtocolLine[]> };
  '/api/revisions/{id}': { get: Takes<ById> & Answers<Revision> };
  '/api/reagents': { get: Answers<Reagent[]> };
  '/api/scan': { post: Sends<{ text: string }> & Answers<Scanned> };
  '/api/containers/{id}/state': {
    post: Takes<ById> & Sends<{ state: ContainerState; at?: Instant; reason?: string }> & Answers<unknown>;
  };
  '/api/subjects': {
    get: Takes<{ query: { label: string } }> & Answers<{ items: Subject[]; next: string | null }>;
    post: Sends<NewSubject> & Answers<Subject>;
  };
  '/api/subjects/{id}': { get: Takes<ById> & Answers<Subject> };
  '/api/runs': { post: Sends<NewRun> & Answers<RunView> };
  '/api/bench': { get: Answers<{ serverTime: Instant; runs: RunView[] }> };
  '/api/runs/{id}': { get: Takes<ById> & Answers<RunView> };
  '/api/runs/{id}/events': {
    post: Takes<ById> & Sends<NewRunEvent> & Answers<{ event: RunEvent; unusable: UnusableReason[] }>;
  };
  '/api/runs/{id}/judgement': { get: Takes<ById> & Answers<Judgement> };
  '/api/runs/{id}/answers': {
    post: Takes<ById> & Sends<NewAnswer> & Answers<{ event: RunEvent; judgement: PointJudgement }>;
  };
  '/api/runs/{id}/releases': { post: Takes<ById> & Sends<NewRelease> & Answers<Release> };
  '/api/releases': { get: Takes<{ query: { run?: string } }> & Answers<Release[]> };
  '/api/protocols/drafts/from-text': { post: Sends<{ text: string; fileName: string }> & Answers<Revision> };
  '/api/revisions/{id}/figures': {
    post: Takes<ById> & Sends<{ figures: Confirmation[]; note: string }> & Answers<Revision>;
  };
  '/api/revisions/{id}/review': { post: Takes<ById> & Sends<{ note: string; password: string }> & Answers<Revision> };
  '/api/revisions/{id}/approve': { post: Takes<ById> & Sends<Approval> & Answers<Revision> };
  '/api/revisions/{id}/retire': { post: Takes<ById> & Sends<{ note: string; password: string }> & Answers<Revision> };
  '/api/revisions/{a}/compare/{b}': {
    get: Takes<{ path: { a: string; b: string } }> & Answers<{ differences: Difference[] }>;
  };
  '/api/lots': {
    get: Takes<{ query: { reagent?: string; number?: string; take?: number; after?: string } }> &
      Answers<{ items: Lot[]; next: string | null }>;
    post: Sends<NewLot> & Answers<Lot>;
  };
  '/api/lots/{id}': { get: Takes<ById> & Answers<Lot> };
  '/api/lots/{id}/decisions': {
    post: Takes<ById> & Sends<{ standing: LotStanding; reason: string }> & Answers<Lot>;
  };
  '/api/people': {
    get: Answers<Person[]>;
    post: Sends<{ name: string; login: string; roles: Role[]; password: string }> & Answers<Person>;
  };
  '/api/people/{id}': {
    patch: Takes<ById> & Sends<{ roles?: Role[]; disabled?: boolean; password?: string }> & Answers<Person>;
  };
  '/api/devices': {
    get: Answers<Device[]>;
    post: Sends<{ name: string; roles: Role[] }> & Answers<Device & { token: string | null }>;
  };
  '/api/devices/{id}': { delete: Takes<ById> & Answers<unknown> };
  '/api/record': {
    get: Takes<{ query: { subject?: string; after?: number; take?: number } }> &
      Answers<{ last: number; entries: RecordEntry[] }>;
  };
  '/api/notices': { get: Answers<NoticeOfMatter[]> };
  '/api/notices/{id}/seen': { post: Takes<ById> & Answers<{ id: string }> };
}
