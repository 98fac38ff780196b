import { type RefObject, useEffect, useRef } from 'react';

/** The part of the page below its top, where reading goes on when what had the focus is gone. */
export const CONTENT = 'content';

/** Whether the focus lies on nothing that can be acted on, so that to give it elsewhere takes it from nothing. */
export function isFocusFree(): boolean {
  const at = document.activeElement;
  return at === null || at === document.body || at.id === CONTENT;
}

export function focusContent(): void {
  document.getElementById(CONTENT)?.focus({ preventScroll: true });
}

/** The address whose page was shown last. */
let shown = location.pathname;

/** Goes on in a page that has come when what led there, and had the focus, went with the page before. */
export function focusFollows(path: string): void {
  if (path !== shown && isFocusFree()) focusContent();
  shown = path;
}

/**
 * A browser takes the focus from a button that is disabled, such as while what it sent is under way; this gives it back once
 * the button can be pressed again, unless it went to something else meanwhile.
 */
export function useKeptFocus(button: RefObject<HTMLButtonElement | null>, isDisabled: boolean): void {
  const taken = useRef(false);
  useEffect(() => {
    const at = button.current;
    const lost = (): void => void (taken.current = at?.disabled === true);
    at?.addEventListener('focusout', lost);
    return () => at?.removeEventListener('focusout', lost);
  }, [button]);
  useEffect(() => {
    if (isDisabled) return;
    if (taken.current && isFocusFree()) button.current?.focus({ preventScroll: true });
    taken.current = false;
  }, [button, isDisabled]);
}
