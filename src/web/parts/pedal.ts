import { useEffect, useRef, type RefObject } from 'react';
import type { BenchStamp } from '../../core/run/events.js';
import { isFocusFree } from './focus.js';
import { ScanReader, keyOf } from './scan.js';
import { benchClock } from './ticker.js';

/** What a button does when any key is pressed on it, with the moment of the key. */
type Pressed = (stamp: BenchStamp) => void;

const pedals = new WeakMap<Element, Pressed>();

/** Makes a button answer to any key while it has the focus, as a foot pedal sends some key or other. */
export function usePedal(pressed: Pressed): RefObject<HTMLButtonElement | null> {
  const ref = useRef<HTMLButtonElement>(null);
  useEffect(() => {
    const button = ref.current;
    if (button) pedals.set(button, pressed);
  }, [pressed]);
  return ref;
}

/** Keys that move through the page rather than act on it. */
const MOVES = ['Tab', 'ArrowUp', 'ArrowDown', 'ArrowLeft', 'ArrowRight', 'PageUp', 'PageDown', 'Home', 'End'];

/** Whether keys on it are text. */
export function takesText(element: Element | null): boolean {
  return (
    element instanceof HTMLTextAreaElement ||
    element instanceof HTMLSelectElement ||
    (element instanceof HTMLInputElement && !['checkbox', 'radio', 'button'].includes(element.type))
  );
}

/**
 * Sorts the keys of a whole page: a scanner's burst goes to `onScan` wherever the focus is, except in a field for text;
 * a single key on a pedal button presses it, dated by the key itself and not by the moment of sorting. A key that meets
 * no focus at all is `onStray`: it presses nothing, but may lead the focus back to where the next one does.
 */
export function useKeys(onScan: (text: string) => void, onStray?: () => void): void {
  const latest = useRef({ onScan, onStray });
  useEffect(() => {
    latest.current = { onScan, onStray };
  }, [onScan, onStray]);
  useEffect(() => {
    const reader = new ScanReader();
    let settling: ReturnType<typeof setTimeout> | undefined;
    let first: { stamp: BenchStamp; pressed: Pressed | undefined } | null = null;

    function decide(told: ReturnType<ScanReader['settle']>): void {
      for (const each of told) {
        const pressedAt = first;
        first = null;
        if (each.kind === 'scan') latest.current.onScan(each.text);
        else if (MOVES.includes(each.keys[0] ?? 'Tab')) continue;
        else if (pressedAt?.pressed) pressedAt.pressed(pressedAt.stamp);
        else if (isFocusFree()) latest.current.onStray?.();
      }
    }

    function onKey(event: KeyboardEvent): void {
      const focused = document.activeElement;
      const key = keyOf(event);
      if (key === null || event.repeat || takesText(focused)) return;
      const pressed = focused ? pedals.get(focused) : undefined;
      // The end of a scan must not press whatever has the focus; a pedal's key is acted on once it is known to be one.
      if (reader.scanning || (pressed && !MOVES.includes(key))) {
        event.preventDefault();
        event.stopPropagation();
      }
      clearTimeout(settling);
      decide(reader.key(key, event.timeStamp));
      first ??= { stamp: benchClock.now(), pressed };
      settling = setTimeout(() => decide(reader.settle()), reader.speed.gapMs + 20);
    }

    addEventListener('keydown', onKey, { capture: true });
    return () => {
      removeEventListener('keydown', onKey, { capture: true });
      clearTimeout(settling);
    };
  }, []);
}
