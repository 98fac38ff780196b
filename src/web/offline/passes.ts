import { type DBSchema, openDB } from 'idb';
import { makeLabel, readLabel } from '../../core/gs1/label.js';
import { waitAfter } from '../../core/people/lockout.js';
import { passText, takeOverText } from '../../core/run/day-pass.js';
import { api, got, Problem } from '../api.js';
import type { NewRunEvent, Session } from '../api.paths.js';
import { OFFLINE } from './words.js';

const words = OFFLINE.pass;

/** A person's day pass as it lies on the device: its private key under the badge and the PIN, neither of which is kept. */
interface KeptPass {
  personId: string;
  id: string;
  endsAt: string;
  person: Session['person'];
  laboratory: Session['laboratory'];
  iv: Uint8Array<ArrayBuffer>;
  sealed: ArrayBuffer;
}

/** A day pass that badge and PIN opened. */
export interface OpenedPass extends Pick<KeptPass, 'id' | 'endsAt' | 'person' | 'laboratory'> {
  /** Signs, and cannot be read. */
  key: CryptoKey;
}

/** A session that the server knows and that this browser holds. */
export interface ServerSession {
  personId: string;
  csrf: string;
}

/** Who took the device over without a network, and whose session the server still knows here. */
export interface ActingPass extends OpenedPass {
  under: ServerSession;
}

interface OnDevice extends DBSchema {
  passes: { key: string; value: KeptPass };
  device: { key: 'salt'; value: Uint8Array<ArrayBuffer> };
  tries: { key: 'pin'; value: { failures: number; atMs: number } };
  acting: { key: 'now'; value: ActingPass };
  ending: { key: 'session'; value: ServerSession };
}

const STORES = ['device', 'tries', 'acting', 'ending'] as const;

/** A database of its own, so that a page of an older build, which knows nothing of passes, never stands in its way. */
const database = openDB<OnDevice>('stainwright-passes', 1, {
  upgrade(made) {
    made.createObjectStore('passes', { keyPath: 'personId' });
    for (const store of STORES) made.createObjectStore(store);
  },
}).catch(() => null);

const ALGORITHM = { name: 'ECDSA', namedCurve: 'P-256' } as const;
/** PBKDF2 with SHA-256, as the OWASP cheat sheet on password storage has it, from memory. */
const ROUNDS = 600_000;

let acting: ActingPass | null = null;
const channel = new BroadcastChannel('stainwright-pass');

/** Calls `told` whenever another tab took over under a pass or ended that; answers how to stop. */
export function whenPassChanges(told: () => void): () => void {
  channel.addEventListener('message', told);
  return () => channel.removeEventListener('message', told);
}

/** Who acts under a pass on this device, as last looked at; null when the session of the server says who acts. */
export function actingPass(): ActingPass | null {
  return acting;
}

/** Looks anew at who acts under a pass, also after a reload and in other tabs. */
export async function lookForPass(): Promise<ActingPass | null> {
  acting = (await (await database)?.get('acting', 'now')) ?? null;
  return acting;
}

export async function actUnder(pass: ActingPass): Promise<void> {
  acting = pass;
  await (await database)?.put('acting', pass, 'now');
  channel.postMessage(null);
}

/** A session of the server says again who acts. */
export async function endPass(): Promise<void> {
  if (acting === null) return;
  acting = null;
  await (await database)?.delete('acting', 'now');
  channel.postMessage(null);
}

/** Asks for a pass for who has just taken over by this badge and PIN; where the browser has no cryptography, for none. */
export async function keepPass(badge: string, pin: string, { person, laboratory }: Session): Promise<void> {
  const store = await database;
  if (!store || !hasCryptography()) return;
  const { privateKey, publicKey } = await crypto.subtle.generateKey(ALGORITHM, true, ['sign', 'verify']);
  const named = inBase64url(await crypto.subtle.exportKey('spki', publicKey));
  const { id, endsAt } = await got(api.POST('/api/session/day-pass', { body: { publicKey: named } }));
  const salt = (await store.get('device', 'salt')) ?? crypto.getRandomValues(new Uint8Array(16));
  await store.put('device', salt, 'salt');
  const iv = crypto.getRandomValues(new Uint8Array(12));
  const secret = await crypto.subtle.exportKey('pkcs8', privateKey);
  const sealed = await crypto.subtle.encrypt({ name: 'AES-GCM', iv }, await keyFrom(badge, pin, salt), secret);
  for (const old of await store.getAll('passes')) if (isOver(old)) await store.delete('passes', old.personId);
  await store.put('passes', { personId: person.id, id, endsAt, person, laboratory, iv, sealed });
}

/** The pass that this badge and PIN open; throws a Problem when they open none, or have to wait after wrong tries. */
export async function openPass(badge: string, pin: string): Promise<OpenedPass> {
  const store = await database;
  const salt = await store?.get('device', 'salt');
  const passes = ((await store?.getAll('passes')) ?? []).filter((pass) => !isOver(pass));
  if (!store || !salt || passes.length === 0 || !hasCryptography()) throw refused(403, 'no-pass', words.none);
  const { failures, atMs } = (await store.get('tries', 'pin')) ?? { failures: 0, atMs: 0 };
  const waitMs = atMs + waitAfter(failures) - Date.now();
  if (waitMs > 0) throw refused(429, 'pass-waits', words.wait(Math.ceil(waitMs / 1000)));
  // Counted before it is looked at, so that a page that is closed meanwhile does not slip past the wait.
  await store.put('tries', { failures: failures + 1, atMs: Date.now() }, 'pin');
  const opener = await keyFrom(badge, pin, salt);
  for (const { id, endsAt, person, laboratory, iv, sealed } of passes) {
    const secret = await crypto.subtle.decrypt({ name: 'AES-GCM', iv }, opener, sealed).catch(() => null);
    if (secret === null) continue;
    const key = await crypto.subtle.importKey('pkcs8', secret, ALGORITHM, false, ['sign']);
    await store.delete('tries', 'pin');
    return { id, endsAt, person, laboratory, key };
  }
  throw refused(403, 'badge-or-pin', words.wrong);
}

/** Under which pass an entry is made and the proof of it; nothing where the server's session says who made it. */
export async function provenBy(entry: {
  key: string;
  runId: string;
  event: NewRunEvent;
  by: { personId: string };
}): Promise<{ pass?: { id: string; proof: string } }> {
  if (acting?.person.id !== entry.by.personId) return {};
  const { id } = acting;
  const text = passText({ ...entry.event, pass: id, key: entry.key, runId: entry.runId });
  return { pass: { id, proof: await signed(acting, text) } };
}

/** Makes the person of the pass the one whose session the server knows here. */
export async function takeOverBy(pass: ActingPass): Promise<Session> {
  const proof = await signed(pass, takeOverText(pass.id, pass.under.csrf));
  const body = { pass: pass.id, proof };
  return got(api.POST('/api/session/hand-over/day-pass', { body, headers: { 'X-CSRF-Token': pass.under.csrf } }));
}

/** Keeps in mind that a session was ended on this device while the server could not hear of it. */
export async function endLater(session: ServerSession): Promise<void> {
  await (await database)?.put('ending', session, 'session');
}

/** Ends at the server what was ended here without it; answers whether a session was ended here at all. */
export async function endWhatEnded(): Promise<boolean> {
  const store = await database;
  const session = await store?.get('ending', 'session');
  if (!store || !session) return false;
  try {
    await got(api.DELETE('/api/session', { headers: { 'X-CSRF-Token': session.csrf } }));
  } catch (problem) {
    // Out of reach; a refusal means that the server does not know that session any more.
    if (problem instanceof Problem && problem.passing && problem.status !== 401) return true;
  }
  await store.delete('ending', 'session');
  return true;
}

/** From badge and PIN together: who has the device alone has to guess both. */
async function keyFrom(badge: string, pin: string, salt: Uint8Array<ArrayBuffer>): Promise<CryptoKey> {
  const label = readLabel(badge);
  const text = `${label.valid ? makeLabel(label.kind, label.id) : badge} ${pin}`;
  const material = await crypto.subtle.importKey('raw', new TextEncoder().encode(text), 'PBKDF2', false, ['deriveKey']);
  const how = { name: 'PBKDF2', hash: 'SHA-256', salt, iterations: ROUNDS };
  return crypto.subtle.deriveKey(how, material, { name: 'AES-GCM', length: 256 }, false, ['encrypt', 'decrypt']);
}

async function signed({ key }: OpenedPass, text: string): Promise<string> {
  return inBase64url(await crypto.subtle.sign({ name: 'ECDSA', hash: 'SHA-256' }, key, new TextEncoder().encode(text)));
}

function inBase64url(bytes: ArrayBuffer): string {
  const text = btoa(String.fromCharCode(...new Uint8Array(bytes)));
  return text.replaceAll('+', '-').replaceAll('/', '_').replaceAll('=', '');
}

function isOver({ endsAt }: KeptPass): boolean {
  return Date.parse(endsAt) < Date.now();
}

/** Browsers have it over HTTPS and on the device itself only. */
function hasCryptography(): boolean {
  return 'subtle' in crypto;
}

function refused(status: number, code: string, detail: string): Problem {
  return new Problem(status, code, words.notOpened, detail);
}
