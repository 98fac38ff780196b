import { Agent, request } from 'node:http';

/** One request of a client's work; answers what the next ones need. */
export type Send = (
  method: string,
  path: string,
  body?: unknown,
  headers?: Record<string, string>,
) => Promise<{ status: number; body: string }>;

/** What a load run measured. */
export interface Measured {
  /** Acts acknowledged per second, over all clients. */
  perSecond: number;
  p50Ms: number;
  p99Ms: number;
  acts: number;
}

/** A sender on kept-alive connections. */
export function sender(port: number, own: Record<string, string> = {}): Send {
  const agent = new Agent({ keepAlive: true, maxSockets: 1 });
  return (method, path, body, headers = {}) =>
    new Promise((resolve, reject) => {
      const text = body === undefined ? undefined : JSON.stringify(body);
      const sent = request(
        {
          agent,
          host: '127.0.0.1',
          port,
          method,
          path,
          headers: {
            ...own,
            ...headers,
            ...(text === undefined
              ? {}
              : { 'content-type': 'application/json', 'content-length': Buffer.byteLength(text) }),
          },
        },
        (answer) => {
          let received = '';
          answer.setEncoding('utf8');
          answer.on('data', (part: string) => (received += part));
          answer.on('end', () => resolve({ status: answer.statusCode ?? 0, body: received }));
        },
      );
      sent.on('error', reject);
      sent.end(text);
    });
}

/** Lets each client do its acts one after the other for some seconds; an act ends when it is acknowledged. */
export async function load(clients: (() => Promise<void>)[], seconds: number): Promise<Measured> {
  const times: number[] = [];
  const until = performance.now() + seconds * 1000;
  await Promise.all(
    clients.map(async (act) => {
      while (performance.now() < until) {
        const start = performance.now();
        await act();
        times.push(performance.now() - start);
      }
    }),
  );
  times.sort((a, b) => a - b);
  const at = (share: number): number =>
    times[Math.min(times.length - 1, Math.floor(times.length * share))] ?? Number.NaN;
  return { perSecond: times.length / seconds, p50Ms: at(0.5), p99Ms: at(0.99), acts: times.length };
}
