import { once } from 'node:events';
import { type AddressInfo, createServer, type Socket } from 'node:net';

/** A message as a mail server was handed it. */
export interface Handed {
  from: string;
  to: string[];
  /** Head and body as they came, dots unstuffed. */
  data: string;
}

/** A mail server on the loopback that speaks as much SMTP (RFC 5321) as it takes to be handed a message. */
export interface MailServer {
  url: string;
  handed: Handed[];
  /** The next messages are refused with these answers, one each. */
  refusals: string[];
  stop: () => Promise<void>;
}

export async function mailServer(): Promise<MailServer> {
  const handed: Handed[] = [];
  const refusals: string[] = [];
  const sockets = new Set<Socket>();
  const server = createServer((socket) => {
    sockets.add(socket);
    socket.on('close', () => sockets.delete(socket)).on('error', () => undefined);
    converse(socket, handed, refusals);
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  return {
    url: `smtp://127.0.0.1:${(server.address() as AddressInfo).port}`,
    handed,
    refusals,
    stop: async () => {
      for (const socket of sockets) socket.destroy();
      server.close();
      await once(server, 'close');
    },
  };
}

function converse(socket: Socket, handed: Handed[], refusals: string[]): void {
  let unread = '';
  let mail: Handed = { from: '', to: [], data: '' };
  let inData = false;
  const say = (line: string): void => void socket.write(`${line}\r\n`);
  const hear = (line: string): void => {
    const [verb = ''] = line.toUpperCase().split(/[ :]/, 1);
    const address = /<(.*)>/.exec(line)?.[1] ?? '';
    if (verb === 'EHLO' || verb === 'HELO') say('250 invented.example');
    else if (verb === 'MAIL') {
      mail = { from: address, to: [], data: '' };
      say(refusals.shift() ?? '250 ok');
    } else if (verb === 'RCPT') {
      mail.to.push(address);
      say('250 ok');
    } else if (verb === 'DATA') {
      inData = true;
      say('354 go on');
    } else if (verb === 'QUIT') {
      say('221 bye');
      socket.end();
    } else say(verb === 'RSET' || verb === 'NOOP' ? '250 ok' : '502 not known here');
  };
  say('220 invented.example ESMTP');
  socket.on('data', (chunk) => {
    unread += chunk.toString('utf8');
    for (;;) {
      const end = unread.indexOf('\r\n');
      if (end < 0) return;
      const line = unread.slice(0, end);
      unread = unread.slice(end + 2);
      if (!inData) hear(line);
      else if (line === '.') {
        inData = false;
        handed.push(mail);
        say('250 taken');
      } else mail.data += `${line.replace(/^\./, '')}\r\n`;
    }
  });
}
