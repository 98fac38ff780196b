import { useSyncExternalStore } from 'react';
import type { RunEvent } from '../../core/run/events.js';
import type { NewRunEvent } from '../api.paths.js';
import { device, type Refused, type Waiting } from './device.js';
import { provenBy } from './passes.js';

/** What a person enters. */
type Entered = Pick<Waiting, 'key' | 'runId' | 'event' | 'by'>;

/** What one tab tells the others. */
type Message = { kind: 'changed' } | { kind: 'sent'; key: string; event: RunEvent };

/** Called in every tab once the server has an event, with the key that it was sent under. */
type OnSent = (event: RunEvent, key: string) => void;

const channel = new BroadcastChannel('stainwright-outbox');
const listeners = new Set<() => void>();
const onSent = new Set<OnSent>();

let waiting: readonly Waiting[] = [];
let adding: Promise<void> = Promise.resolve();
/** Places of events that this browser cannot keep: they come after all that it keeps and last as long as the page. */
let unkept = Number.MAX_SAFE_INTEGER / 2;

function set(to: readonly Waiting[]): void {
  waiting = to;
  listeners.forEach((listener) => listener());
}

/** Reads anew what is kept, in its order; what could not be kept stays after it. */
async function reload(): Promise<void> {
  const known = (await (await device)?.getAll('waiting')) ?? [];
  set([...known, ...waiting.filter(isUnkept)]);
}

function isUnkept({ n }: Waiting): boolean {
  return n > Number.MAX_SAFE_INTEGER / 2;
}

channel.onmessage = ({ data }: MessageEvent<Message>) => {
  if (data.kind === 'sent') onSent.forEach((told) => told(data.event, data.key));
  void reload();
};
void reload();

/** Everything entered on this device that the server has not confirmed, in the order of entry, what it refused included. */
export const outbox = {
  all: (): readonly Waiting[] => waiting,

  /** Calls `listener` whenever that changes; answers how to stop. */
  follow(listener: () => void): () => void {
    listeners.add(listener);
    return () => void listeners.delete(listener);
  },

  /** Calls `told` whenever the server has taken an event, whichever tab sent it; answers how to stop. */
  whenSent(told: OnSent): () => void {
    onSent.add(told);
    return () => void onSent.delete(told);
  },

  /** Keeps an event on the device, then shows it; one after the other, so that none overtakes another. */
  add(entry: Entered): Promise<void> {
    adding = adding.catch(() => undefined).then(() => keep(entry));
    return adding;
  },

  /** The server has it. */
  async sent({ n, key }: Waiting, event: RunEvent): Promise<void> {
    onSent.forEach((told) => told(event, key));
    await (await device)?.delete('waiting', n);
    set(waiting.filter((each) => each.n !== n));
    tell({ kind: 'sent', key, event });
  },

  /** The server will not take it as it is; it stays until a person mends it. */
  refused: (entry: Waiting, refused: Refused): Promise<void> => put({ ...entry, refused }),

  /** Sends it again as it is now: what it depends on may have been mended. A pass that was refused is left out. */
  again: ({ pass, ...entry }: Waiting): Promise<void> =>
    put({ ...entry, ...(pass && !isOfPass(entry.refused) && { pass }), refused: null }),

  /** Sends something else in its place, under a key of its own; no pass proves what was not said under it. */
  instead: ({ pass: _, ...entry }: Waiting, key: string, event: NewRunEvent): Promise<void> =>
    put({ ...entry, key, event, refused: null }),
};

async function keep(entry: Entered): Promise<void> {
  const fresh = { ...entry, ...(await provenBy(entry)), refused: null };
  const n = await (await device)?.add('waiting', fresh as Waiting).catch(() => undefined);
  set([...waiting, { ...fresh, n: n ?? (unkept += 1) }].sort((a, b) => a.n - b.n));
  tell({ kind: 'changed' });
}

function isOfPass(refused: Refused | null): boolean {
  return refused?.code.startsWith('day-pass') ?? false;
}

async function put(entry: Waiting): Promise<void> {
  if (!isUnkept(entry)) await (await device)?.put('waiting', entry);
  set(waiting.map((each) => (each.n === entry.n ? entry : each)));
  tell({ kind: 'changed' });
}

function tell(message: Message): void {
  channel.postMessage(message);
}

/** Whether this browser loses what is not sent when the page goes. */
export function isLostWithPage(entries: readonly Waiting[]): boolean {
  return entries.some(isUnkept);
}

export function useOutbox(): readonly Waiting[] {
  return useSyncExternalStore(outbox.follow, outbox.all);
}
