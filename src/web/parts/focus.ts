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

/**
 * Goes on in the page when what had the focus is gone, such as a button whose act is done or a link that led to another
 * page: a browser lets it fall to nothing, from where the next Tab begins at the very top.
 */
export function useFocusNotLost(): void {
  useEffect(() => {
    let last: EventTarget | null = null;
    const held = ({ target }: FocusEvent): void => void (last = target);
    const gone = new MutationObserver(() => {
      if (!(last instanceof Element) || last.isConnected) return;
      last = null;
      // What comes in its place, or a dialog that gives it back to where it was opened, goes first, within one frame.
      requestAnimationFrame(() => requestAnimationFrame(() => isFocusFree() && focusContent()));
    });
    document.addEventListener('focusin', held);
    gone.observe(document.body, { childList: true, subtree: true });
    return () => {
      document.removeEventListener('focusin', held);
      gone.disconnect();
    };
  }, []);
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
