import type { Judgement, PointJudgement } from '../core/gate/judge.js';
import type { ContainerState, Limit, LotStanding } from '../core/lot/lot.js';
import type { UnusableReason } from '../core/lot/validity.js';
import type { Role } from '../core/people/roles.js';
import type { Protocol, Reagent, StainCategory } from '../core/protocol/protocol.js';
import type { BenchStamp, RunEvent, RunEventData, RunEventKind, RunPurpose } from '../core/run/events.js';
import type { RunView } from '../core/run/view.js';
import type { Instant } from '../core/time/instant.js';

export interface Session {
  person: { id: string; name: string; login: string; roles: Role[] };
  csrf: string;
  laboratory: { id: string; name: string; zone: string; demo: boolean };
}

export interface ProtocolLine {
  id: string;
  title: string;
  category: StainCategory;
  setting: Protocol['setting'];
  revisions: {
    id: string;
    number: number;
    state: 'draft' | 'reviewed' | 'approved' | 'superseded' | 'retired';
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
  inForce: boolean;
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
  container?: {
    id: string;
    lotId: string;
    label: string;
    states: { at: Instant; state: ContainerState }[];
    limits: Limit[];
    reasons: UnusableReason[];
  };
  lot?: {
    id: string;
    reagent: string;
    number: string;
    decisions: { at: Instant; standing: LotStanding }[];
  };
  reagent?: Reagent;
  subject?: Subject;
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
}
