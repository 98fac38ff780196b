import { type DBSchema, type IDBPDatabase, openDB } from 'idb';
import type { NewRunEvent } from '../api.paths.js';

/** An event that was entered on this device and that the server has not confirmed. */
export interface Waiting {
  /** Its place in the order of entry. */
  n: number;
  /** Shared by all tries to send it, so that together they have one effect. */
  key: string;
  runId: string;
  event: NewRunEvent;
  /** Who entered it, and is the only one to send it. */
  by: { personId: string; name: string };
  /** The day pass under which it was entered, and the proof of it; absent where a session says who entered it. */
  pass?: { id: string; proof: string };
  /** Why the server would not take it; null while it waits. */
  refused: Refused | null;
}

export interface Refused {
  code: string;
  detail: string;
}

interface Kept {
  /** When it was kept, by the device's wall clock, ms since 1970. */
  atMs: number;
  value: unknown;
}

interface OnDevice extends DBSchema {
  waiting: { key: number; value: Waiting };
  kept: { key: string; value: Kept };
}

/** What this browser keeps through a reload; null where it keeps nothing, as in some private windows. */
export const device: Promise<IDBPDatabase<OnDevice> | null> = openDB<OnDevice>('stainwright', 1, {
  upgrade(database) {
    database.createObjectStore('waiting', { keyPath: 'n', autoIncrement: true });
    database.createObjectStore('kept');
  },
}).catch(() => null);
