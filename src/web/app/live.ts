import type { QueryClient } from '@tanstack/react-query';
import { useSyncExternalStore } from 'react';
import { whenReachChanges } from '../api.js';
import { benchClock } from '../parts/ticker.js';

/** What the server says of each act once it is done. */
interface Changed {
  seq: number;
  act: string;
  subject: { kind: string; id: string };
}

export interface LiveState {
  connected: boolean;
  /** Since when, as an instant. */
  since: string;
}

type Message =
  | { kind: 'changed'; changed: Changed }
  | { kind: 'state'; state: LiveState }
  /** Something may have been missed: look at everything anew. */
  | { kind: 'anew' }
  /** A new tab asks the one that holds the stream how it stands. */
  | { kind: 'how-is-it' };

const NAME = 'stainwright-live';
const AGAIN_MS = 2_000;
const GATHER_MS = 40;

/**
 * Query keys begin with a topic, and each kind of subject says which topics its change concerns. A kind that is not
 * listed concerns all, so that nothing stale stays in sight.
 */
const TOPICS: Record<string, readonly string[]> = {
  run: ['runs', 'control-result', 'plans'],
  plan: ['plans'],
  'hand-over-note': ['hand-over'],
  'control-result': ['control-result', 'runs'],
  'second-look': ['runs', 'notices'],
  'control-series': ['control-series', 'control-result'],
  container: ['stock', 'runs'],
  lot: ['stock', 'runs'],
  reagent: ['stock', 'protocols'],
  subject: ['specimens'],
  protocol: ['protocols'],
  revision: ['protocols'],
  person: ['people'],
  device: ['people'],
  notice: ['notices'],
  webhook: ['connections'],
  'keeping-term': ['keeping'],
  'legal-hold': ['keeping'],
  session: [],
  // Looking and drawing change nothing.
  look: [],
  sample: [],
  file: [],
  picture: ['pictures', 'controls'],
  study: ['studies', 'stock'],
  deviation: ['deviations'],
};

let state: LiveState = { connected: false, since: benchClock.now().at };
const listeners = new Set<() => void>();

function setState(to: LiveState): void {
  if (to.connected === state.connected) return;
  state = to;
  listeners.forEach((listener) => listener());
}

export function useLive(): LiveState {
  return useSyncExternalStore(
    (listener) => {
      listeners.add(listener);
      return () => void listeners.delete(listener);
    },
    () => state,
  );
}

/**
 * Keeps queries true to the server. One tab of the browser holds the event stream and passes on what it hears; when it
 * closes, another takes over. With `still` nothing is asked anew by itself: for a reviewer each question is a look that is
 * kept. Answers how to stop.
 */
export function followLive(queries: QueryClient, still = false): () => void {
  const stop = new AbortController();
  const channel = new BroadcastChannel(NAME);
  const stale = new Set<string>();
  let gathering: ReturnType<typeof setTimeout> | undefined;

  function refresh(): void {
    gathering = undefined;
    const all = stale.has('*');
    const topics = new Set(stale);
    stale.clear();
    void queries.invalidateQueries({
      predicate: ({ queryKey: [topic] }) => topic !== 'session' && (all || topics.has(String(topic))),
    });
  }

  function take(message: Message): void {
    if (message.kind === 'state') return setState(message.state);
    if (message.kind === 'how-is-it' || still) return undefined;
    if (message.kind === 'anew') stale.add('*');
    else ['record', ...(TOPICS[message.changed.subject.kind] ?? ['*'])].forEach((topic) => stale.add(topic));
    gathering ??= setTimeout(refresh, GATHER_MS);
    return undefined;
  }

  function tell(message: Message): void {
    take(message);
    channel.postMessage(message);
  }

  const lost = (): LiveState => ({ connected: false, since: benchClock.now().at });
  const reach = whenReachChanges((reached) => {
    if (reached) channel.postMessage({ kind: 'how-is-it' } satisfies Message);
    else setState(lost());
  });

  channel.onmessage = ({ data }: MessageEvent<Message>) => take(data);
  channel.postMessage({ kind: 'how-is-it' } satisfies Message);

  const hold = (): Promise<void> => holdStream(tell, channel, stop.signal);
  // Without HTTPS there are no locks; then each tab holds a stream of its own.
  const holding = 'locks' in navigator ? navigator.locks.request(NAME, { signal: stop.signal }, hold) : hold();
  holding.catch((error: unknown) => {
    if (!stop.signal.aborted) throw error;
  });

  return () => {
    stop.abort();
    clearTimeout(gathering);
    reach();
    channel.close();
  };
}

/** Holds the stream until told to stop. After a short break the browser itself resumes from the last event's number. */
function holdStream(tell: (message: Message) => void, channel: BroadcastChannel, signal: AbortSignal): Promise<void> {
  let source: EventSource;
  let again: ReturnType<typeof setTimeout> | undefined;
  let fresh = true;

  const say = (connected: boolean): void => {
    const now: LiveState = connected === state.connected ? state : { connected, since: benchClock.now().at };
    tell({ kind: 'state', state: now });
  };
  const answer = ({ data }: MessageEvent<Message>): void => {
    if (data.kind === 'how-is-it') channel.postMessage({ kind: 'state', state } satisfies Message);
  };
  channel.addEventListener('message', answer);

  function open(): void {
    source = new EventSource('/api/live');
    source.onopen = () => {
      say(true);
      // A new stream starts from now, so whatever came before it opened must be looked at once.
      if (fresh) tell({ kind: 'anew' });
      fresh = false;
    };
    source.addEventListener('changed', (event: MessageEvent<string>) => {
      tell({ kind: 'changed', changed: JSON.parse(event.data) as Changed });
    });
    source.onerror = () => {
      say(false);
      if (source.readyState !== EventSource.CLOSED) return;
      fresh = true;
      again = setTimeout(open, AGAIN_MS);
    };
  }
  open();
  // The old stream may be dead without knowing it.
  const reach = whenReachChanges((reached) => {
    if (!reached) return;
    clearTimeout(again);
    source.close();
    fresh = true;
    open();
  });

  return new Promise((resolve) => {
    signal.addEventListener('abort', () => {
      clearTimeout(again);
      reach();
      source.close();
      channel.removeEventListener('message', answer);
      resolve();
    });
  });
}
