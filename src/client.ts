import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import { clockOffset } from './core/time/duration.js';
import { instantOf } from './core/time/instant.js';
import type { BenchStamp } from './core/run/events.js';

export interface Request {
  method: 'GET' | 'POST' | 'DELETE';
  /** From /api on, such as '/session'. */
  path: string;
  headers: Record<string, string>;
  body?: string | Uint8Array<ArrayBuffer>;
}

export interface Answer {
  status: number;
  text: string;
  cookies: string[];
}

/** Brings one request to the API and its answer back. */
export type Send = (request: Request) => Promise<Answer>;

/** Sends to a server that runs at an address such as 'http://127.0.0.1:4180'. */
export function overHttp(url: string): Send {
  return async ({ method, path, headers, body }) => {
    const address = `${url.replace(/\/$/, '')}/api${path}`;
    let response: Response;
    try {
      response = await fetch(address, { method, headers, ...(body === undefined ? {} : { body }) });
    } catch (error) {
      const { cause, message } = error as Error;
      const why = cause instanceof Error && cause.message !== '' ? cause.message : message;
      throw new Error(`No answer from ${url} (${why}); start the server, or give its address with --url.`, {
        cause: error,
      });
    }
    return { status: response.status, text: await response.text(), cookies: response.headers.getSetCookie() };
  };
}

/** Sends to an application of this process, which need not listen yet. */
export function inProcess(app: NestFastifyApplication): Send {
  return async ({ method, path, headers, body }) => {
    const {
      statusCode,
      payload,
      headers: given,
    } = await app.inject({
      method,
      url: `/api${path}`,
      headers,
      ...(body === undefined ? {} : { payload: typeof body === 'string' ? body : Buffer.from(body) }),
    });
    return { status: statusCode, text: payload, cookies: [given['set-cookie'] ?? []].flat() };
  };
}

/** The API said no: its problem document. */
export class ApiProblem extends Error {
  constructor(
    readonly status: number,
    readonly problem: { detail?: string; code?: string; problems?: { at: string; message: string }[] } & Record<
      string,
      unknown
    >,
  ) {
    const lines = (problem.problems ?? []).map(({ at, message }) => `  ${at}: ${message}`);
    super([problem.detail ?? `The server answered ${status}.`, ...lines].join('\n'));
    this.name = 'ApiProblem';
  }
}

/** The API as one person or device sees it. */
export class Api {
  private constructor(
    private readonly send: Send,
    private readonly access: Record<string, string>,
  ) {}

  /** Before anybody signed in. */
  static open(send: Send): Api {
    return new Api(send, {});
  }

  static ofDevice(send: Send, token: string): Api {
    return new Api(send, { authorization: `Bearer ${token}` });
  }

  static async signIn(send: Send, login: string, password: string): Promise<Api> {
    const answer = await exchange(send, { method: 'POST', path: '/session', headers: {}, body: { login, password } });
    const { csrf } = JSON.parse(answer.text) as { csrf: string };
    const cookie = answer.cookies.map((each) => each.split(';', 1)[0]).join('; ');
    return new Api(send, { cookie, 'x-csrf-token': csrf });
  }

  signOut(): Promise<void> {
    return this.ask('DELETE', '/session');
  }

  get<T>(path: string): Promise<T> {
    return this.ask('GET', path);
  }

  post<T>(path: string, body: object): Promise<T> {
    return this.ask('POST', path, body);
  }

  /** Sends a file as the body itself. */
  async upload<T>(path: string, content: Uint8Array): Promise<T> {
    const headers = { ...this.access, 'content-type': 'application/octet-stream' };
    const answer = await this.send({ method: 'POST', path, headers, body: new Uint8Array(content) });
    return JSON.parse(accepted(answer).text) as T;
  }

  /** A stamp of now by the server's clock, as well as one exchange can tell it. */
  async stamp(device: string): Promise<BenchStamp> {
    const t1 = Date.now();
    const { t2, t3 } = await this.get<{ t2: number; t3: number }>(`/time?t1=${t1}`);
    const t4 = Date.now();
    const { offsetMs, roundTripMs, uncertaintyMs } = clockOffset({ t1, t2, t3, t4 });
    const at = instantOf(t4 + offsetMs);
    return { device, at, uncertaintyMs, monotonicMs: null, offsetMs, roundTripMs, late: false };
  }

  private async ask<T>(method: Request['method'], path: string, body?: object): Promise<T> {
    const { text } = await exchange(this.send, { method, path, headers: this.access, ...(body && { body }) });
    return (text === '' ? undefined : JSON.parse(text)) as T;
  }
}

async function exchange(send: Send, { body, ...asked }: Omit<Request, 'body'> & { body?: object }): Promise<Answer> {
  const headers = { ...asked.headers, ...(body && { 'content-type': 'application/json' }) };
  const answer = await send({ ...asked, headers, ...(body && { body: JSON.stringify(body) }) });
  return accepted(answer);
}

function accepted(answer: Answer): Answer {
  if (answer.status < 400) return answer;
  throw new ApiProblem(answer.status, problemOf(answer.text));
}

function problemOf(text: string): ApiProblem['problem'] {
  try {
    return JSON.parse(text) as ApiProblem['problem'];
  } catch {
    return { detail: text.slice(0, 200) };
  }
}
