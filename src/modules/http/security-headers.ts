import { type IncomingMessage, ServerResponse } from 'node:http';
import helmet from 'helmet';

/**
 * The headers that keep a browser from doing with our pages what they never need. None depends on the request, so helmet
 * is asked once and not at each answer.
 */
export function securityHeaders({ tls }: { tls: boolean }): Record<string, string> {
  const answer = new ServerResponse({ method: 'GET' } as IncomingMessage);
  helmet({
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'none'"],
        // What reads codes from the camera is WebAssembly of our own; it may be compiled, and no text be run as script.
        scriptSrc: ["'self'", "'wasm-unsafe-eval'"],
        // The components of the pages add small style elements at run time.
        styleSrc: ["'self'", "'unsafe-inline'"],
        imgSrc: ["'self'", 'data:', 'blob:'],
        mediaSrc: ["'self'", 'data:', 'blob:'],
        fontSrc: ["'self'"],
        connectSrc: ["'self'"],
        workerSrc: ["'self'"],
        manifestSrc: ["'self'"],
        baseUri: ["'none'"],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
      },
    },
    referrerPolicy: { policy: 'no-referrer' },
    strictTransportSecurity: tls ? { maxAge: 31_536_000 } : false,
  })({} as IncomingMessage, answer, (fault) => {
    if (fault instanceof Error) throw fault;
  });
  return Object.fromEntries(Object.entries(answer.getHeaders()).map(([name, value]) => [name, String(value)]));
}
