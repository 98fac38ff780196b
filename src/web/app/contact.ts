import { api, got } from '../api.js';
import { benchClock, onBeat } from '../parts/ticker.js';

/** A cut line is noticed by this, since an open stream may stay silent for long. */
const EVERY_MS = 10_000;
const PATIENCE_MS = 4_000;
const SOON_MS = 1_500;

/** A few at once, since the quickest exchange is the surest. */
const FIRST_TRIES = 4;

/**
 * Keeps the bench clock in contact with the server's: at the start, every few seconds, when the network or the page
 * comes back, and soon again after the device slept or was set. Answers how to stop.
 */
export function keepContact(): () => void {
  let asking = false;
  let last = Number.NEGATIVE_INFINITY;

  async function ask(times: number): Promise<void> {
    if (asking) return;
    asking = true;
    last = performance.now();
    try {
      for (let n = 0; n < times; n += 1) {
        await benchClock.exchange((t1) =>
          got(api.GET('/api/time', { params: { query: { t1 } }, signal: AbortSignal.timeout(PATIENCE_MS) })),
        );
      }
    } catch {
      // No answer, or readings torn by a sleep: the clock stays as sure as it was, and the next beat asks again.
    } finally {
      asking = false;
    }
  }

  const now = (): void => void ask(FIRST_TRIES);
  const stop = onBeat(() => {
    const age = performance.now() - last;
    if (age > EVERY_MS || (!benchClock.bounded && age > SOON_MS)) void ask(benchClock.bounded ? 1 : FIRST_TRIES);
  });
  now();
  addEventListener('online', now);
  return () => {
    stop();
    removeEventListener('online', now);
  };
}
