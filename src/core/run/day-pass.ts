import canonicalize from 'canonicalize';
import type { BenchStamp, RunEventKind } from './events.js';

/** An event as the device of a day pass signs it: with the key that all tries to send it share. */
export interface PassedEvent {
  /** Id of the pass. */
  pass: string;
  key: string;
  runId: string;
  kind: RunEventKind;
  data: object;
  stamp: BenchStamp;
}

/**
 * The text that proves who entered an event without a network: RFC 8785 of the event with its pass, key and run, without
 * what only its sending says. The device signs it with the key of the pass, the server verifies it; both make it here.
 * Throws TypeError for what is not JSON. `passText({ pass: 'p', … })` begins with '{"data":'.
 */
export function passText({ pass, key, runId, kind, data, stamp }: PassedEvent): string {
  const { unsent: _, ...entered } = stamp;
  return textOf({ pass, key, runId, kind, data, stamp: entered });
}

/**
 * The text that proves that the person of a pass takes over a session, named by its CSRF token, which ends with it: so the
 * proof serves once. `takeOverText('p', 't')` is '{"pass":"p","takeOver":"t"}'.
 */
export function takeOverText(pass: string, csrf: string): string {
  return textOf({ pass, takeOver: csrf });
}

function textOf(value: object): string {
  const text = canonicalize(value);
  if (text === undefined) throw new TypeError('only JSON values have a canonical form');
  return text;
}
