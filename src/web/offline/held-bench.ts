import { answersOf, forgetAnswers, type KeptAnswer, restoreAnswers } from './kept-answers.js';
import { type KeptPass, passStore, standingPasses } from './pass-store.js';

const CURVE = { name: 'ECDH', namedCurve: 'P-256' } as const;
const CIPHER = { name: 'AES-GCM', length: 256 } as const;
const USE = new TextEncoder().encode('what the bench knew');

/** The pair of keys by which a bench is held for a person, the private one to be kept under badge and PIN. */
export async function openerPair(): Promise<{ publicKey: CryptoKey; secret: ArrayBuffer }> {
  const { publicKey, privateKey } = await crypto.subtle.generateKey(CURVE, true, ['deriveBits']);
  return { publicKey, secret: await crypto.subtle.exportKey('pkcs8', privateKey) };
}

/**
 * Takes from the device what the server answered to the person who leaves it. What the bench needs stays, but only for
 * those who badged in on this device that day, each of whom opens it by badge and PIN.
 */
export async function leaveDevice(): Promise<void> {
  const answers = await answersOf('bench', 'reagents');
  const text = new TextEncoder().encode(JSON.stringify(answers));
  if (answers.length > 0) for (const pass of await standingPasses()) await hold(pass, text);
  await forgetAnswers();
}

/** Brings back what the bench knew, with the private key that badge and PIN opened; answers whether anything was held. */
export async function takeBench({ held }: KeptPass, secret: ArrayBuffer): Promise<boolean> {
  if (!held) return false;
  const privateKey = await crypto.subtle.importKey('pkcs8', secret, CURVE, false, ['deriveBits']);
  const key = await keyBetween(privateKey, held.publicKey, 'decrypt');
  const text = await crypto.subtle.decrypt({ name: CIPHER.name, iv: held.iv }, key, held.sealed);
  const answers = JSON.parse(new TextDecoder().decode(text)) as KeptAnswer[];
  return (await restoreAnswers(answers)) > 0;
}

async function hold(pass: KeptPass, text: Uint8Array<ArrayBuffer>): Promise<void> {
  if (!pass.opener) return;
  const once = await crypto.subtle.generateKey(CURVE, false, ['deriveBits']);
  const iv = crypto.getRandomValues(new Uint8Array(12));
  const key = await keyBetween(once.privateKey, pass.opener.publicKey, 'encrypt');
  const sealed = await crypto.subtle.encrypt({ name: CIPHER.name, iv }, key, text);
  await (await passStore)?.put('passes', { ...pass, held: { publicKey: once.publicKey, iv, sealed } });
}

/** One key for both ends: ECDH on P-256, then HKDF with SHA-256 (RFC 5869). */
async function keyBetween(own: CryptoKey, other: CryptoKey, use: 'encrypt' | 'decrypt'): Promise<CryptoKey> {
  const shared = await crypto.subtle.deriveBits({ name: 'ECDH', public: other }, own, 256);
  const material = await crypto.subtle.importKey('raw', shared, 'HKDF', false, ['deriveKey']);
  const how = { name: 'HKDF', hash: 'SHA-256', salt: new Uint8Array(0), info: USE };
  return crypto.subtle.deriveKey(how, material, CIPHER, false, [use]);
}
