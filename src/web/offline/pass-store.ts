import { type DBSchema, openDB } from 'idb';
import type { Session } from '../api.paths.js';

/** A person's day pass as it lies on the device: its private keys under the badge and the PIN, neither of which is kept. */
export interface KeptPass {
  personId: string;
  id: string;
  endsAt: string;
  person: Session['person'];
  laboratory: Session['laboratory'];
  /** The key that signs. */
  iv: Uint8Array<ArrayBuffer>;
  sealed: ArrayBuffer;
  /** The key that opens what the bench knew when the device was left; absent in a pass of an older page. */
  opener?: { publicKey: CryptoKey; iv: Uint8Array<ArrayBuffer>; sealed: ArrayBuffer };
  /** What the bench knew then, for this person alone. */
  held?: { publicKey: CryptoKey; iv: Uint8Array<ArrayBuffer>; sealed: ArrayBuffer };
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

/** Who took the device over without a network, and whose session the server still knows here; null when nobody's. */
export interface ActingPass extends OpenedPass {
  under: ServerSession | null;
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
export const passStore = openDB<OnDevice>('stainwright-passes', 1, {
  upgrade(made) {
    made.createObjectStore('passes', { keyPath: 'personId' });
    for (const store of STORES) made.createObjectStore(store);
  },
}).catch(() => null);

/** The passes on this device that have not ended; those that have are gone from it then, with all that they held. */
export async function standingPasses(): Promise<KeptPass[]> {
  const store = await passStore;
  const passes = (await store?.getAll('passes')) ?? [];
  for (const over of passes.filter(isOver)) await store?.delete('passes', over.personId);
  return passes.filter((pass) => !isOver(pass));
}
void standingPasses().catch(() => undefined);

function isOver({ endsAt }: KeptPass): boolean {
  return Date.parse(endsAt) < Date.now();
}
