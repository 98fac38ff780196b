import { type ActingPass, passStore } from './pass-store.js';

let acting: ActingPass | null = null;
const channel = new BroadcastChannel('stainwright-pass');

/** Calls `told` whenever another tab took over under a pass or ended that; answers how to stop. */
export function whenPassChanges(told: () => void): () => void {
  channel.addEventListener('message', told);
  return () => channel.removeEventListener('message', told);
}

/** Whether who acts here does so by badge and PIN alone, so that somebody has to sign in before anything is sent. */
export function actsAlone(): boolean {
  return acting !== null && acting.under === null;
}

/** Who acts under a pass on this device, as last looked at; null when the session of the server says who acts. */
export function actingPass(): ActingPass | null {
  return acting;
}

/** Looks anew at who acts under a pass, also after a reload and in other tabs. */
export async function lookForPass(): Promise<ActingPass | null> {
  acting = (await (await passStore)?.get('acting', 'now')) ?? null;
  return acting;
}

export async function actUnder(pass: ActingPass): Promise<void> {
  acting = pass;
  await (await passStore)?.put('acting', pass, 'now');
  channel.postMessage(null);
}

/** A session of the server says again who acts. */
export async function endPass(): Promise<void> {
  if (acting === null) return;
  acting = null;
  await (await passStore)?.delete('acting', 'now');
  channel.postMessage(null);
}
