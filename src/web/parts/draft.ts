import { useState } from 'react';
import { useSession } from '../app/session.js';

const PREFIX = 'stainwright.draft.';

/**
 * What somebody types into a long form, kept by this tab under its name until it is sent, so that a reload or a step back
 * loses nothing; for the person who typed it alone, and no longer than the tab is there.
 */
export function useDraft<Typed extends object>(
  name: string,
  empty: Typed,
): { typed: Typed; type: (changes: Partial<Typed>) => void; forget: () => void } {
  const { person } = useSession();
  const key = `${PREFIX}${person.id}.${name}`;
  const [typed, setTyped] = useState<Typed>(() => ({ ...empty, ...read<Typed>(key) }));
  const type = (changes: Partial<Typed>): void =>
    setTyped((before) => {
      const next = { ...before, ...changes };
      write(key, JSON.stringify(next));
      return next;
    });
  return { typed, type, forget: () => write(key, null) };
}

function read<Typed>(key: string): Partial<Typed> | null {
  try {
    return JSON.parse(sessionStorage.getItem(key) ?? 'null') as Partial<Typed> | null;
  } catch {
    return null;
  }
}

function write(key: string, text: string | null): void {
  try {
    if (text === null) sessionStorage.removeItem(key);
    else sessionStorage.setItem(key, text);
  } catch {
    // Storage is full or forbidden; what is typed then lasts as long as the page.
  }
}
