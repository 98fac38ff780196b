import { once } from 'node:events';
import { createServer, type IncomingHttpHeaders } from 'node:http';
import type { AddressInfo } from 'node:net';

/** A message as an endpoint got it. */
export interface Received {
  at: number;
  path: string;
  headers: IncomingHttpHeaders;
  body: string;
}

/** An endpoint on the loopback that keeps what it gets. */
export interface Receiver {
  url: string;
  received: Received[];
  /** How the next messages are answered, one each: with a status, not at all, or by hanging up; then with 204. */
  answers: (number | 'silence' | 'hang up')[];
  stop: () => Promise<void>;
}

export async function receiver(): Promise<Receiver> {
  const received: Received[] = [];
  const answers: Receiver['answers'] = [];
  const server = createServer((request, response) => {
    const parts: Buffer[] = [];
    request.on('data', (part: Buffer) => parts.push(part));
    request.on('end', () => {
      const { url: path = '', headers } = request;
      received.push({ at: Date.now(), path, headers, body: Buffer.concat(parts).toString('utf8') });
      const answer = answers.shift() ?? 204;
      if (answer === 'hang up') request.socket.destroy();
      else if (answer !== 'silence') response.writeHead(answer, { location: '/elsewhere' }).end();
    });
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  return {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}/in`,
    received,
    answers,
    stop: async () => {
      server.closeAllConnections();
      server.close();
      await once(server, 'close');
    },
  };
}
