import type { QueryClient } from '@tanstack/react-query';
import type { RunEvent } from '../../core/run/events.js';
import type { RunView } from '../../core/run/view.js';
import type { Instant } from '../../core/time/instant.js';
import { api, credentials, got, once, Problem, whenReachChanges } from '../api.js';
import { BENCH_ANSWER, BENCH_KEY } from '../bench/bench.js';
import { say, sayProblem } from '../parts/notices.js';
import { actingPass, endPass } from './acting.js';
import type { Waiting } from './device.js';
import { keepAnswer } from './kept-answers.js';
import { outbox } from './outbox.js';
import type { OpenedPass, ServerSession } from './pass-store.js';
import { endLater, endWhatEnded, takeOverBy } from './passes.js';
import { OFFLINE } from './words.js';

const OTHER_SESSION = 'csrf-token-needed';
const NAME = 'stainwright-outbox';
const FIRST_WAIT_MS = 500;
const MOST_TRIES = 8;
const LONGEST_WAIT_MS = 5_000;

type Bench = { serverTime: Instant; runs: RunView[] };

/**
 * Sends what waits, one after the other in the order of entry, from one tab of the browser at a time. Answers how to stop.
 * What another person entered waits for that person: nobody acts under another's name.
 */
export function sendOutbox(queries: QueryClient): () => void {
  const stop = new AbortController();
  const unhear = outbox.whenSent((event) => {
    const bench = queries.setQueryData<Bench>(BENCH_KEY, (known) => known && withEvent(known, event));
    // The network may go before the bench is asked again: what the device knows is never older than what it was told.
    if (bench) void keepAnswer(BENCH_ANSWER, bench);
    void queries.invalidateQueries({ queryKey: ['runs'] });
  });
  const send = (): Promise<void> => sendOn(queries, stop.signal);
  // Without HTTPS there are no locks; then two tabs may send the same, which its key makes one.
  const sending = 'locks' in navigator ? navigator.locks.request(NAME, { signal: stop.signal }, send) : send();
  sending.catch((error: unknown) => {
    if (!stop.signal.aborted) throw error;
  });
  return () => {
    stop.abort();
    unhear();
  };
}

/**
 * The next event that may be sent: not refused, of the person of the session or proven by a day pass, and nobody else's of
 * the same run before it.
 */
export function nextToSend(waiting: readonly Waiting[], personId: string | null): Waiting | null {
  const closed = new Set<string>();
  for (const entry of waiting) {
    if (entry.refused !== null) continue;
    if (entry.by.personId !== personId && !entry.pass) closed.add(entry.runId);
    else if (!closed.has(entry.runId)) return entry;
  }
  return null;
}

async function sendOn(queries: QueryClient, signal: AbortSignal): Promise<void> {
  let waitMs = FIRST_WAIT_MS;
  let tries = 0;
  while (!signal.aborted) {
    const acting = actingPass();
    const under = acting?.under ?? null;
    if (acting && !under) {
      // The server knows nobody here until somebody signs in.
      await something(signal, LONGEST_WAIT_MS);
      continue;
    }
    const entry = nextToSend(outbox.all(), under ? under.personId : credentials.personId);
    if (!entry) {
      // Only once nothing is left that the session of the person before has to send.
      const left = acting !== null && under !== null && !(await takenOver(queries, acting, under));
      await something(signal, left ? LONGEST_WAIT_MS : undefined);
      continue;
    }
    try {
      await outbox.sent(entry, await sent(entry));
      waitMs = FIRST_WAIT_MS;
      tries = 0;
    } catch (problem) {
      if (problem instanceof Problem && !mayPass(problem, tries)) {
        tries = 0;
        sayProblem(problem);
        await outbox.refused(entry, { code: problem.code, detail: problem.detail });
      } else {
        if (problem instanceof Problem && !problem.passing) tries += 1;
        // In another tab somebody has taken over: this one learns who it is now.
        if (problem instanceof Problem && problem.code === OTHER_SESSION) {
          await queries.invalidateQueries({ queryKey: ['session'] });
        }
        await something(signal, waitMs);
        waitMs = Math.min(waitMs * 2, LONGEST_WAIT_MS);
      }
    }
  }
}

/**
 * Whether the same entry may well be taken later, though nobody mends it; a fault of the server only a few times, so that
 * nothing waits behind it for ever.
 */
function mayPass({ passing, status, code }: Problem, tries: number): boolean {
  return passing || status === 429 || ((status >= 500 || code === OTHER_SESSION) && tries < MOST_TRIES);
}

async function sent({ n, runId, event, key, pass }: Waiting): Promise<RunEvent> {
  // What was refused is held as well, until somebody mends it.
  const unsent = outbox.all().filter((entry) => entry.runId === runId && entry.n !== n).length;
  const body = { ...event, stamp: { ...event.stamp, unsent }, ...(pass && { pass }) };
  const csrf = actingPass()?.under?.csrf;
  const headers = { ...once(key).headers, ...(csrf !== undefined && { 'X-CSRF-Token': csrf }) };
  const answer = await got(api.POST('/api/runs/{id}/events', { params: { path: { id: runId } }, body, headers }));
  return answer.event;
}

/**
 * Makes who took over under a pass the person of the server's session; answers whether that is settled. A pass that the
 * server does not take ends both sessions: nobody goes on under the name of the person before.
 */
async function takenOver(queries: QueryClient, acting: OpenedPass, under: ServerSession): Promise<boolean> {
  try {
    await takeOverBy(acting, under);
    await endPass();
  } catch (problem) {
    if (!(problem instanceof Problem)) throw problem;
    if (mayPass(problem, 0) && problem.code !== OTHER_SESSION) return false;
    if (problem.code !== OTHER_SESSION) await endLater(under);
    await endPass();
    await endWhatEnded();
    say(OFFLINE.pass.ended);
  }
  await queries.invalidateQueries({ queryKey: ['session'] });
  return true;
}

/** Until something may have changed: the outbox, the way to the server, or so much time has passed. */
function something(signal: AbortSignal, longestMs?: number): Promise<void> {
  return new Promise((resolve) => {
    const stops: (() => void)[] = [];
    const done = (): void => {
      stops.forEach((stop) => stop());
      resolve();
    };
    stops.push(whenReachChanges((reached) => reached && done()));
    // A server that is away says nothing of new entries.
    if (longestMs === undefined) stops.push(outbox.follow(done));
    else {
      const timer = setTimeout(done, longestMs);
      stops.push(() => clearTimeout(timer));
    }
    signal.addEventListener('abort', done, { once: true });
  });
}

function withEvent(bench: Bench, event: RunEvent): Bench {
  return {
    ...bench,
    runs: bench.runs.map((run) =>
      run.id === event.runId && !run.events.some(({ id }) => id === event.id)
        ? { ...run, events: [...run.events, event] }
        : run,
    ),
  };
}
