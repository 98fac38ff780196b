import createClient from 'openapi-fetch';
import type { Finding } from '../core/gate/finding.js';
import type { paths } from './api.paths.js';

/** Why the server, or the way to it, did not do what was asked (RFC 9457). */
export class Problem extends Error {
  constructor(
    /** HTTP status; 0 when no answer came. */
    readonly status: number,
    readonly code: string,
    readonly title: string,
    /** What was wrong and what would be right. */
    readonly detail: string,
    readonly problems: { at: string; message: string }[] = [],
    readonly findings: Finding[] = [],
    readonly requestId: string | null = null,
  ) {
    super(detail || title);
    this.name = 'Problem';
  }

  /** What single fields have, beyond what is said of the whole. */
  get more(): { at: string; message: string }[] {
    return this.problems.filter(({ message }) => !this.message.includes(message));
  }

  /** All of it in one line, for where there is no room to list it. */
  get said(): string {
    return [this.message, ...this.more.map(({ message }) => message)].join(' ');
  }

  /** True when the same request may well succeed a moment later: no answer, a server starting, a session to renew. */
  get passing(): boolean {
    return [0, 401, 502, 503, 504].includes(this.status);
  }
}

/** What was wrong with a field of what was sent, by the names that a problem may give it; undefined when nothing was. */
export function faultIn(problem: Error | null, ...names: string[]): string | undefined {
  return problem instanceof Problem ? problem.problems.find(({ at }) => names.includes(at))?.message : undefined;
}

/** What the open session lends to each request. */
export const credentials: { csrf: string | null; personId: string | null } = { csrf: null, personId: null };

const onLost = new Set<() => void>();

/** Calls `told` whenever the server no longer knows the session; answers how to stop. */
export function whenSessionIsLost(told: () => void): () => void {
  onLost.add(told);
  return () => void onLost.delete(told);
}

let reached = true;

/** Whether the server answered when it was asked last. */
export function isReached(): boolean {
  return reached;
}

const onReach = new Set<(reached: boolean) => void>();

/** Calls `told` whenever the server stops answering or answers again; answers how to stop. */
export function whenReachChanges(told: (reached: boolean) => void): () => void {
  onReach.add(told);
  return () => void onReach.delete(told);
}

function setReached(to: boolean): void {
  if (to === reached) return;
  reached = to;
  onReach.forEach((told) => told(to));
}
addEventListener('offline', () => setReached(false));

/** Whether what stands before the server answered in its place; our own server says what is wrong (RFC 9457). */
function isOfProxy({ status, headers }: Response): boolean {
  return [502, 503, 504].includes(status) && headers.get('content-type')?.includes('problem+json') !== true;
}

export const api = createClient<paths>({
  baseUrl: location.origin,
  fetch: async (request) => {
    try {
      const response = await fetch(request);
      setReached(!isOfProxy(response));
      return response;
    } catch {
      setReached(false);
      throw new Problem(0, 'no-answer', 'No answer from the server', 'The network or the server is away.');
    }
  },
});

api.use({
  onRequest({ request }) {
    if (request.method !== 'GET' && credentials.csrf !== null) request.headers.set('X-CSRF-Token', credentials.csrf);
    return request;
  },
  onResponse({ response, schemaPath }) {
    if (response.status === 401 && schemaPath !== '/api/session') onLost.forEach((told) => told());
  },
});

/** Marks all tries of one request, so that together they have one effect. */
export function once(key: string): { headers: Record<string, string> } {
  return { headers: { 'Idempotency-Key': key } };
}

/** What the server answered; throws a Problem for anything but success. */
export async function got<Output>(
  asked: Promise<{ data?: Output; error?: unknown; response: Response }>,
): Promise<Output> {
  const { data, error, response } = await asked;
  if (response.ok) return data as Output;
  throw problemOf(response, error);
}

function problemOf(response: Response, body: unknown): Problem {
  const said = (typeof body === 'object' && body !== null ? body : {}) as Partial<Problem> & { detail?: string };
  return new Problem(
    response.status,
    said.code ?? `http-${response.status}`,
    said.title ?? `The server answered ${response.status}`,
    said.detail ?? 'It gave no reason. Try again; if it stays, tell the administrator the number of the request.',
    said.problems,
    said.findings,
    said.requestId ?? response.headers.get('x-request-id'),
  );
}
