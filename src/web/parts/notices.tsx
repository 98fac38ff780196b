import { useEffect, useSyncExternalStore } from 'react';
import { Problem } from '../api.js';
import { WORDS } from '../words.js';
import { Button } from './Button.js';
import { newId } from './ids.js';
import { useTimesWithin } from './times-within.js';

interface Notice {
  id: string;
  text: string;
  /** Stays until it is put away, and interrupts a screen reader. */
  urgent: boolean;
  act?: { word: string; run: () => void };
}

const STAYS_MS = 12_000;

let notices: readonly Notice[] = [];
const listeners = new Set<() => void>();

function set(to: readonly Notice[]): void {
  notices = to;
  listeners.forEach((listener) => listener());
}

function dismiss(id: string): void {
  set(notices.filter((notice) => notice.id !== id));
}

/** Says something in passing, with one thing that can be done about it; it takes the place of what was said before. */
export function say(text: string, act?: Notice['act']): void {
  set([...notices.filter(({ urgent }) => urgent), { id: newId(), text, urgent: false, ...(act && { act }) }]);
}

/** Says what went wrong, until it is put away. */
export function sayProblem(problem: Error): void {
  const text = problem instanceof Problem ? problem.said : problem.message;
  if (notices.some((notice) => notice.text === text)) return;
  set([...notices.slice(-2), { id: newId(), text, urgent: true }]);
}

/** Where notices appear; one for the whole page, in it from the start so that screen readers hear what comes. */
export function Notices() {
  const all = useSyncExternalStore(
    (listener) => {
      listeners.add(listener);
      return () => void listeners.delete(listener);
    },
    () => notices,
  );
  return (
    <div className="notices">
      <div role="status" aria-live="polite">
        {all
          .filter(({ urgent }) => !urgent)
          .map((notice) => (
            <Line key={notice.id} notice={notice} />
          ))}
      </div>
      <div role="alert">
        {all
          .filter(({ urgent }) => urgent)
          .map((notice) => (
            <Line key={notice.id} notice={notice} />
          ))}
      </div>
    </div>
  );
}

function Line({ notice: { id, text, urgent, act } }: { notice: Notice }) {
  const within = useTimesWithin();
  useEffect(() => {
    if (urgent) return undefined;
    const timer = setTimeout(() => dismiss(id), STAYS_MS);
    return () => clearTimeout(timer);
  }, [id, urgent]);
  return (
    <div className={urgent ? 'notice notice-urgent' : 'notice'}>
      <p>{within(text)}</p>
      {act && (
        <Button
          onPress={() => {
            dismiss(id);
            act.run();
          }}
        >
          {act.word}
        </Button>
      )}
      <Button look="quiet" onPress={() => dismiss(id)}>
        {WORDS.dismiss}
      </Button>
    </div>
  );
}
