import { type RefObject, useEffect, useRef } from 'react';

/**
 * What lies over the page while it is open (a `details`): away again once one goes on to something else, and with Escape.
 * `fold` puts it away and leaves the focus on its name, from where what is opened next gives it back.
 */
export function useFolding(): { ref: RefObject<HTMLDetailsElement | null>; fold: () => void } {
  const ref = useRef<HTMLDetailsElement>(null);
  useEffect(() => {
    const elsewhere = ({ target }: Event): void => {
      // A dialog that was opened from here stands outside of it, and goes with it.
      const within = target instanceof Element && (ref.current?.contains(target) || target.closest('[role=dialog]'));
      if (!within) ref.current?.removeAttribute('open');
    };
    const escape = ({ key }: KeyboardEvent): void => {
      if (key === 'Escape' && !document.querySelector('[role=dialog]')) fold(ref.current);
    };
    document.addEventListener('pointerdown', elsewhere);
    document.addEventListener('keydown', escape);
    return () => {
      document.removeEventListener('pointerdown', elsewhere);
      document.removeEventListener('keydown', escape);
    };
  }, []);
  return { ref, fold: () => fold(ref.current) };
}

function fold(details: HTMLDetailsElement | null): void {
  if (!details?.open) return;
  details.open = false;
  details.querySelector('summary')?.focus();
}
