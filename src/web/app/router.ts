import { useSyncExternalStore } from 'react';

const CHANGED = 'stainwright:address';

/**
 * Goes to an address of this page without loading it anew. Another page begins at its top, unless the address names a place
 * on it; on the way back the browser knows itself where one was.
 */
export function navigate(to: string, how: 'push' | 'replace' = 'push'): void {
  const from = location.pathname;
  history[how === 'push' ? 'pushState' : 'replaceState'](null, '', to);
  dispatchEvent(new Event(CHANGED));
  if (location.pathname !== from && location.hash === '') scrollTo(0, 0);
}

function subscribe(listener: () => void): () => void {
  addEventListener('popstate', listener);
  addEventListener(CHANGED, listener);
  return () => {
    removeEventListener('popstate', listener);
    removeEventListener(CHANGED, listener);
  };
}

export function usePath(): string {
  return useSyncExternalStore(subscribe, () => location.pathname);
}

/** What the address asks for beyond its path, as it stands there: '' or '?find=eosin'. */
export function useAsked(): string {
  return useSyncExternalStore(subscribe, () => location.search);
}

/**
 * One parameter of the address, so that what a person looks at can be shared and found again. A choice is a step that the
 * browser's way back undoes; `replace` is for what changes with each key.
 */
export function useParam(
  name: string,
  how: 'push' | 'replace' = 'push',
): [string | null, (value: string | null) => void] {
  const value = useSyncExternalStore(subscribe, () => new URLSearchParams(location.search).get(name));
  const set = (to: string | null): void => {
    const params = new URLSearchParams(location.search);
    if (to === null) params.delete(name);
    else params.set(name, to);
    const query = params.toString();
    navigate(query === '' ? location.pathname : `${location.pathname}?${query}`, how);
  };
  return [value, set];
}

/** Text that a person types, kept in the address; empty text leaves the address. */
export function useText(name: string): [string, (text: string) => void] {
  const [value, set] = useParam(name, 'replace');
  return [value ?? '', (text) => set(text === '' ? null : text)];
}

/** A choice of several, kept in the address; what is chosen from the start leaves the address. */
export function useChoice<T extends string>(name: string, choices: readonly T[], first: T): [T, (to: T) => void] {
  const [value, set] = useParam(name);
  const chosen = choices.find((choice) => choice === value) ?? first;
  return [chosen, (to) => set(to === first ? null : to)];
}
