import { Refusal } from '../refusal.js';

/**
 * The address that messages may go to, as a browser writes it; refuses what is none: no HTTPS but to this very machine,
 * a name or password in it, a fragment, an address that no receiver has (RFC 6890: this network, link-local, multicast).
 * Addresses of a private network are let through, since that is where a laboratory's other programs stand.
 */
export function checkAddress(text: string): string {
  const refuse = (message: string): never => {
    throw new Refusal('invalid', 'bad-address', message, [{ at: 'url', message }]);
  };
  let url: URL;
  try {
    url = new URL(text);
  } catch {
    return refuse(`"${text}" is no address; write one such as https://receiver.example/stainwright.`);
  }
  const host = url.hostname.replace(/^\[(.*)\]$/, '$1');
  if (url.protocol !== 'https:' && !(url.protocol === 'http:' && isLoopback(host))) {
    refuse(`Messages go over HTTPS; plain HTTP only to this machine, such as http://127.0.0.1:8080/.`);
  }
  if (url.username !== '' || url.password !== '') {
    refuse('Leave name and password out of the address: it is shown and logged. The signature says who sends.');
  }
  if (url.hash !== '') refuse('Leave out what stands behind the # of the address: no server ever gets it.');
  if (!mayReceive(host)) refuse(`Nothing can receive at ${host}; name the receiver.`);
  return url.href;
}

/** Whether a host is this very machine, by its name or number (RFC 6761, RFC 1122, RFC 4291). */
export function isLoopback(host: string): boolean {
  return host === 'localhost' || host === '::1' || /^127(\.\d{1,3}){3}$/.test(host);
}

/**
 * False for the numbers of hosts that no message may go to: 0.0.0.0/8, 169.254.0.0/16 (where clouds answer questions
 * about the machine itself), 224.0.0.0 and above, ::, fe80::/10, ff00::/8, and those written as IPv4 in IPv6. Asked again
 * of each number that a name leads to when a message is sent. `mayReceive('169.254.169.254')` is false.
 */
export function mayReceive(host: string): boolean {
  const mapped = /^::ffff:(.*)$/i.exec(host)?.[1];
  if (mapped !== undefined) return /^\d+(\.\d+){3}$/.test(mapped) && mayReceive(mapped);
  const parts = /^(\d{1,3})\.(\d{1,3})(?:\.\d{1,3}){2}$/.exec(host);
  if (parts) {
    const [first, second] = [Number(parts[1]), Number(parts[2])];
    return first !== 0 && first < 224 && !(first === 169 && second === 254);
  }
  return !/^(::|fe[89ab][0-9a-f]:.*|ff[0-9a-f]{2}:.*)$/i.test(host);
}
