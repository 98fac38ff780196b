import { readFileSync } from 'node:fs';
import { Api, overHttp } from '../client.js';
import type { ProtocolSummaryDto } from '../contract/protocols.dto.js';
import type { RunViewDto } from '../contract/run-view.dto.js';
import type { NewRunSubjectDto } from '../contract/runs.dto.js';
import type { SubjectListDto } from '../contract/specimens.dto.js';
import type { RunEvent, RunEventData } from '../core/run/events.js';
import { runState } from '../core/run/state.js';

/** Which server is asked, and who asks. */
export interface Server {
  url: string;
  login?: string;
  passwordFile?: string;
  token?: string;
}

export interface RunStart extends Server {
  protocol: string;
  station: string;
  purpose: string;
  subject?: string[];
  control?: string[];
}

/** What the stamps of events say that took the time. */
const DEVICE = 'command line';

/** Starts a run and prints its id, for the commands that follow. */
export function start({ protocol, station, purpose, subject = [], control = [], ...server }: RunStart): Promise<void> {
  return asking(server, async (api) => {
    const known = await api.get<ProtocolSummaryDto[]>('/protocols');
    const revision = known.find(({ id }) => id === protocol)?.revisions.find(({ inForce }) => inForce);
    if (!revision) {
      const usable = known.filter(({ revisions }) => revisions.some(({ inForce }) => inForce)).map(({ id }) => id);
      throw new Error(
        `No revision of "${protocol}" is in force; there is one of ${usable.join(', ') || 'no protocol'}.`,
      );
    }
    const subjects: NewRunSubjectDto[] = [];
    for (const label of subject) subjects.push({ subjectId: await subjectId(api, label), role: 'patient' });
    for (const each of control) {
      const [requirement = '', label] = each.split('=', 2);
      if (label === undefined) throw new Error(`"${each}" names no label; write it like positive=SW1:S:7K3M-0042B.`);
      subjects.push({ subjectId: await subjectId(api, label), role: 'control', control: requirement });
    }
    const run = await api.post<RunViewDto>('/runs', { revisionId: revision.id, station, purpose, subjects });
    process.stdout.write(`${run.id}\n`);
  });
}

export function stepStart(runId: string, step: string, { again, ...server }: Server & { again?: true }): Promise<void> {
  return record(server, runId, 'step-started', { step, ...(again && { again }) });
}

export function stepEnd(runId: string, step: string, server: Server): Promise<void> {
  return record(server, runId, 'step-ended', { step });
}

/** Prints where a run stands: each step with the times of its performances, and what comes next. */
export function show(runId: string, server: Server): Promise<void> {
  return asking(server, async (api) => {
    const { revision, station, events, subjects } = await api.get<RunViewDto>(`/runs/${encodeURIComponent(runId)}`);
    const state = runState(revision.content, events as RunEvent[]);
    const lines = [
      `${revision.content.title}, revision ${revision.number}, at ${station}`,
      ...subjects.map(({ label, description, control }) => `${label}  ${description}${control ? ` (${control})` : ''}`),
      ...state.steps.map(({ step, performances }) => {
        const times = performances.map(({ started, ended }) => `${started.stamp.at} to ${ended?.stamp.at ?? '…'}`);
        return `${step.id.padEnd(24)}${times.join('; ')}`.trimEnd();
      }),
      state.abandoned ? `abandoned: ${state.abandoned.reason}` : `next: ${state.next?.step.id ?? 'nothing'}`,
    ];
    process.stdout.write(`${lines.join('\n')}\n`);
  });
}

function record<K extends 'step-started' | 'step-ended'>(
  server: Server,
  runId: string,
  kind: K,
  data: RunEventData[K],
): Promise<void> {
  return asking(server, async (api) => {
    const stamp = await api.stamp(DEVICE);
    await api.post(`/runs/${encodeURIComponent(runId)}/events`, { kind, data, stamp });
    process.stdout.write(`${kind} ${data.step} at ${stamp.at}\n`);
  });
}

/** Does what needs the API as the person or device that the options name; a person is signed out again. */
async function asking({ url, login, passwordFile, token }: Server, work: (api: Api) => Promise<void>): Promise<void> {
  const send = overHttp(url);
  if (token !== undefined) return work(Api.ofDevice(send, token));
  if (login === undefined || passwordFile === undefined) {
    throw new Error('Say who acts: --login with --password-file for a person, or --token for a device.');
  }
  const password = readFileSync(passwordFile === '-' ? 0 : passwordFile, 'utf8').replace(/\r?\n$/, '');
  const api = await Api.signIn(send, login, password);
  try {
    await work(api);
  } finally {
    await api.signOut();
  }
}

async function subjectId(api: Api, label: string): Promise<string> {
  const { items } = await api.get<SubjectListDto>(`/subjects?label=${encodeURIComponent(label)}`);
  const [found] = items;
  if (!found)
    throw new Error(`Nothing here carries the label ${label}; register it first, or compare it with the print.`);
  return found.id;
}
