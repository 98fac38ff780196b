import { useSyncExternalStore } from 'react';

/** The service worker of a newer build, which waits until every page of the old one is closed. */
let newer: ServiceWorker | null = null;
const listeners = new Set<() => void>();

function set(worker: ServiceWorker | null): void {
  newer = worker;
  listeners.forEach((listener) => listener());
}

/**
 * Keeps the page on the device, so that it opens without a network. A newer build is taken at the next start or when a
 * person asks for it, never in the middle of a step. Browsers allow it over HTTPS and on the device itself only.
 */
export async function keepPage(): Promise<void> {
  if (!('serviceWorker' in navigator) || !import.meta.env.PROD) return;
  const registration = await navigator.serviceWorker.register('/sw.js');
  set(registration.waiting);
  registration.addEventListener('updatefound', () => {
    const { installing } = registration;
    installing?.addEventListener('statechange', () => {
      if (installing.state === 'installed' && navigator.serviceWorker.controller) set(installing);
    });
  });
}

/** Whether a newer build is here, and how to take it. */
export function useNewVersion(): { here: boolean; take: () => void } {
  const worker = useSyncExternalStore(
    (listener) => {
      listeners.add(listener);
      return () => void listeners.delete(listener);
    },
    () => newer,
  );
  const take = (): void => {
    navigator.serviceWorker.addEventListener('controllerchange', () => location.reload(), { once: true });
    worker?.postMessage({ type: 'SKIP_WAITING' });
  };
  return { here: worker !== null, take };
}
