import { useSyncExternalStore } from 'react';

let text = '';
const listeners = new Set<() => void>();

/** Has a screen reader say something that sighted people see happen. */
export function announce(said: string): void {
  // The same words twice in a row are read only when the text changes.
  text = said === text ? `${said}\u00a0` : said;
  listeners.forEach((listener) => listener());
}

/** Where announcements are spoken from; one for the whole page. */
export function Announcer() {
  const said = useSyncExternalStore(
    (listener) => {
      listeners.add(listener);
      return () => void listeners.delete(listener);
    },
    () => text,
  );
  return (
    <div className="unseen" role="log" aria-live="polite">
      {said}
    </div>
  );
}
