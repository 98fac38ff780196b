import { useSyncExternalStore } from 'react';

const CHANGED = 'stainwright:address';

/** Goes to an address of this page without loading it anew. */
export function navigate(to: string, how: 'push' | 'replace' = 'push'): void {
  history[how === 'push' ? 'pushState' : 'replaceState'](null, '', to);
  dispatchEvent(new Event(CHANGED));
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

/** One parameter of the address, so that what a person looks at can be shared and found again. */
export function useParam(name: string): [string | null, (value: string | null) => void] {
  const value = useSyncExternalStore(subscribe, () => new URLSearchParams(location.search).get(name));
  const set = (to: string | null): void => {
    const params = new URLSearchParams(location.search);
    if (to === null) params.delete(name);
    else params.set(name, to);
    const query = params.toString();
    navigate(query === '' ? location.pathname : `${location.pathname}?${query}`);
  };
  return [value, set];
}
