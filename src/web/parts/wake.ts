import { useEffect } from 'react';

/** Keeps the screen awake while `on`, where the browser can (Screen Wake Lock API, secure contexts only). */
export function useWakefulScreen(on: boolean): void {
  useEffect(() => {
    if (!on || !('wakeLock' in navigator)) return undefined;
    let lock: WakeLockSentinel | null = null;
    let wanted = true;
    // The lock falls whenever the page is hidden, and a battery saver may refuse it; timers do not depend on it.
    const hold = (): void => {
      if (document.visibilityState !== 'visible') return;
      navigator.wakeLock.request('screen').then(
        (held) => {
          if (wanted) lock = held;
          else void held.release();
        },
        () => undefined,
      );
    };
    hold();
    document.addEventListener('visibilitychange', hold);
    return () => {
      wanted = false;
      document.removeEventListener('visibilitychange', hold);
      void lock?.release();
    };
  }, [on]);
}
