import { makeLabel, readLabel } from '../../core/gs1/label.js';
import { waitAfter } from '../../core/people/lockout.js';
import { passText, takeOverText } from '../../core/run/day-pass.js';
import { api, got, Problem } from '../api.js';
import type { NewRunEvent, Session } from '../api.paths.js';
import { actingPass } from './acting.js';
import { openerPair, takeBench } from './held-bench.js';
import {
  type KeptPass,
  type OpenedPass,
  passStore as database,
  type ServerSession,
  standingPasses,
} from './pass-store.js';
import { OFFLINE } from './words.js';

const words = OFFLINE.pass;

const ALGORITHM = { name: 'ECDSA', namedCurve: 'P-256' } as const;
/** PBKDF2 with SHA-256, as the OWASP cheat sheet on password storage has it, from memory. */
const ROUNDS = 600_000;

/** Asks for a pass for who has just taken over by this badge and PIN; where the browser has no cryptography, for none. */
export async function keepPass(badge: string, pin: string, { person, laboratory }: Session): Promise<void> {
  const store = await database;
  if (!store || !hasCryptography()) return;
  const { privateKey, publicKey } = await crypto.subtle.generateKey(ALGORITHM, true, ['sign', 'verify']);
  const named = inBase64url(await crypto.subtle.exportKey('spki', publicKey));
  const { id, endsAt } = await got(api.POST('/api/session/day-pass', { body: { publicKey: named } }));
  const salt = (await store.get('device', 'salt')) ?? crypto.getRandomValues(new Uint8Array(16));
  await store.put('device', salt, 'salt');
  const under = await keyFrom(badge, pin, salt);
  const signs = await sealedUnder(under, await crypto.subtle.exportKey('pkcs8', privateKey));
  const { publicKey: opens, secret } = await openerPair();
  const opener = { publicKey: opens, ...(await sealedUnder(under, secret)) };
  await standingPasses();
  await store.put('passes', { personId: person.id, id, endsAt, person, laboratory, ...signs, opener });
}

/** The pass that this badge and PIN open; throws a Problem when they open none, or have to wait after wrong tries. */
export async function openPass(badge: string, pin: string): Promise<OpenedPass> {
  return (await unlocked(badge, pin)).pass;
}

/**
 * Badges in on a device that nobody is signed in on: the pass, with what the bench knew when the device was left, and
 * whether it knew anything. Throws as opening a pass does.
 */
export async function badgeIn(badge: string, pin: string): Promise<{ pass: OpenedPass; held: boolean }> {
  const { pass, kept, under } = await unlocked(badge, pin);
  const { opener } = kept;
  const secret =
    opener && (await crypto.subtle.decrypt({ name: 'AES-GCM', iv: opener.iv }, under, opener.sealed).catch(() => null));
  return { pass, held: secret ? await takeBench(kept, secret) : false };
}

/** A pass with the key that badge and PIN make. */
async function unlocked(badge: string, pin: string): Promise<{ pass: OpenedPass; kept: KeptPass; under: CryptoKey }> {
  const store = await database;
  const salt = await store?.get('device', 'salt');
  const passes = await standingPasses();
  if (!store || !salt || passes.length === 0 || !hasCryptography()) throw refused(403, 'no-pass', words.none);
  const { failures, atMs } = (await store.get('tries', 'pin')) ?? { failures: 0, atMs: 0 };
  const waitMs = atMs + waitAfter(failures) - Date.now();
  if (waitMs > 0) throw refused(429, 'pass-waits', words.wait(Math.ceil(waitMs / 1000)));
  // Counted before it is looked at, so that a page that is closed meanwhile does not slip past the wait.
  await store.put('tries', { failures: failures + 1, atMs: Date.now() }, 'pin');
  const under = await keyFrom(badge, pin, salt);
  for (const kept of passes) {
    const { id, endsAt, person, laboratory, iv, sealed } = kept;
    const secret = await crypto.subtle.decrypt({ name: 'AES-GCM', iv }, under, sealed).catch(() => null);
    if (secret === null) continue;
    const key = await crypto.subtle.importKey('pkcs8', secret, ALGORITHM, false, ['sign']);
    await store.delete('tries', 'pin');
    return { pass: { id, endsAt, person, laboratory, key }, kept, under };
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
  const acting = actingPass();
  if (acting?.person.id !== entry.by.personId) return {};
  const { id } = acting;
  const text = passText({ ...entry.event, pass: id, key: entry.key, runId: entry.runId });
  return { pass: { id, proof: await signed(acting, text) } };
}

/** Makes the person of the pass the one whose session the server knows here. */
export async function takeOverBy(pass: OpenedPass, { csrf }: ServerSession): Promise<Session> {
  const proof = await signed(pass, takeOverText(pass.id, csrf));
  const body = { pass: pass.id, proof };
  return got(api.POST('/api/session/hand-over/day-pass', { body, headers: { 'X-CSRF-Token': csrf } }));
}

/** Keeps in mind that a session was ended on this device while the server could not hear of it. */
export async function endLater(session: ServerSession): Promise<void> {
  await (await database)?.put('ending', session, 'session');
}

/** The session that was ended here and that the server still knows: who badges in now takes it over instead. */
export async function takeEnding(): Promise<ServerSession | null> {
  const store = await database;
  const session = (await store?.get('ending', 'session')) ?? null;
  await store?.delete('ending', 'session');
  return session;
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

async function sealedUnder(key: CryptoKey, secret: ArrayBuffer): Promise<Pick<KeptPass, 'iv' | 'sealed'>> {
  const iv = crypto.getRandomValues(new Uint8Array(12));
  return { iv, sealed: await crypto.subtle.encrypt({ name: 'AES-GCM', iv }, key, secret) };
}

/** Browsers have it over HTTPS and on the device itself only. */
function hasCryptography(): boolean {
  return 'subtle' in crypto;
}

function refused(status: number, code: string, detail: string): Problem {
  return new Problem(status, code, words.notOpened, detail);
}
