import { useSyncExternalStore } from 'react';
import type { BenchStamp } from '../../core/run/events.js';
import { epochMs } from '../../core/time/instant.js';
import { BenchClock } from './clock.js';
import { newId } from './ids.js';
import { kept } from './kept.js';

const TICK_MS = 200;

/** This browser's name as a clock at the bench; it stays the same for all its tabs and days. */
function deviceName(): string {
  const name = kept.read('device') ?? `browser-${newId().slice(0, 8)}`;
  kept.write('device', name);
  return name;
}

/** The page's one clock. */
export const benchClock = new BenchClock(
  { steadyMs: () => performance.now(), wallMs: () => Date.now() },
  deviceName(),
  newId,
);

let now: BenchStamp = benchClock.now();
let timer: ReturnType<typeof setTimeout> | undefined;
const listeners = new Set<() => void>();

/** One timer serves every timer on the page, on the beat of the full second, and paints with the screen's own frames. */
function beat(): void {
  now = benchClock.now();
  listeners.forEach((listener) => listener());
  arm();
}

function arm(): void {
  clearTimeout(timer);
  const wait = TICK_MS - (epochMs(benchClock.now().at) % TICK_MS);
  timer = setTimeout(() => {
    // Hidden pages get no frames, and their warnings must sound all the same.
    if (document.visibilityState === 'visible') requestAnimationFrame(beat);
    else beat();
  }, wait);
}

/** Calls `listener` at each beat; answers how to stop. */
export function onBeat(listener: () => void): () => void {
  listeners.add(listener);
  if (listeners.size === 1) {
    now = benchClock.now();
    arm();
  }
  return () => {
    listeners.delete(listener);
    if (listeners.size === 0) clearTimeout(timer);
  };
}

/** Now, as of the last beat. */
export function beatNow(): BenchStamp {
  return now;
}

/** What `select` makes of now; the component renders only when that changes, so let it be a text or a number. */
export function useBeat<T extends string | number | boolean | null>(select: (now: BenchStamp) => T): T {
  return useSyncExternalStore(onBeat, () => select(now));
}

// A page that comes back from the background shows the right time with its first frame.
document.addEventListener('visibilitychange', () => {
  if (document.visibilityState === 'visible' && listeners.size > 0) beat();
});
