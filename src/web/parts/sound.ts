import { useSyncExternalStore } from 'react';
import type { Moment } from '../../core/run/next.js';
import { kept } from './kept.js';

/** A moment of a timer, or the beat by which dips are done. */
type Sound = Moment | 'dip';

interface Tone {
  hz: number;
  atMs: number;
  forMs: number;
}

/** Patterns that differ in number, pitch and rhythm, so that they are told apart across a room. */
const PATTERNS: Record<Sound, Tone[]> = {
  from: [{ hz: 520, atMs: 0, forMs: 90 }],
  target: [
    { hz: 660, atMs: 0, forMs: 160 },
    { hz: 660, atMs: 240, forMs: 160 },
  ],
  closing: [
    { hz: 700, atMs: 0, forMs: 110 },
    { hz: 930, atMs: 140, forMs: 110 },
    { hz: 700, atMs: 420, forMs: 110 },
    { hz: 930, atMs: 560, forMs: 110 },
  ],
  over: [
    { hz: 330, atMs: 0, forMs: 300 },
    { hz: 262, atMs: 340, forMs: 300 },
    { hz: 208, atMs: 680, forMs: 520 },
  ],
  dip: [{ hz: 1040, atMs: 0, forMs: 50 }],
};

const VIBRATIONS: Record<Sound, number[]> = {
  from: [60],
  target: [120, 80, 120],
  closing: [80, 60, 80, 60, 80, 60, 80],
  over: [400, 120, 400],
  dip: [20],
};

let context: AudioContext | null = null;
let muted = kept.read('muted') === 'yes';
const listeners = new Set<() => void>();

function tell(): void {
  listeners.forEach((listener) => listener());
}

/** Browsers let a page sound only after a touch or a key. */
function unlock(): void {
  context ??= new AudioContext();
  void context.resume().then(tell);
}
for (const gesture of ['pointerdown', 'keydown'] as const) addEventListener(gesture, unlock, { once: true });

export type SoundState = 'on' | 'muted' | 'waiting for a touch';

function state(): SoundState {
  if (muted) return 'muted';
  return context?.state === 'running' ? 'on' : 'waiting for a touch';
}

export function setMuted(to: boolean): void {
  muted = to;
  kept.write('muted', to ? 'yes' : 'no');
  tell();
}

export function useSound(): SoundState {
  return useSyncExternalStore((listener) => {
    listeners.add(listener);
    return () => void listeners.delete(listener);
  }, state);
}

/** Sounds and vibrates what came, where the device can. */
export function sound(moment: Sound): void {
  if (muted) return;
  if ('vibrate' in navigator && navigator.userActivation.hasBeenActive) navigator.vibrate(VIBRATIONS[moment]);
  if (context?.state !== 'running') return;
  const start = context.currentTime + 0.02;
  for (const { hz, atMs, forMs } of PATTERNS[moment]) {
    const oscillator = new OscillatorNode(context, { type: 'triangle', frequency: hz });
    const gain = new GainNode(context, { gain: 0 });
    const [from, until] = [start + atMs / 1000, start + (atMs + forMs) / 1000];
    gain.gain.setValueAtTime(0, from);
    gain.gain.linearRampToValueAtTime(0.5, from + 0.015);
    gain.gain.setValueAtTime(0.5, until - 0.03);
    gain.gain.linearRampToValueAtTime(0, until);
    oscillator.connect(gain).connect(context.destination);
    oscillator.start(from);
    oscillator.stop(until);
  }
}
