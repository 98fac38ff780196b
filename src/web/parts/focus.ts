/** The part of the page below its top, where reading goes on when what had the focus is gone. */
export const CONTENT = 'content';

/** What keys press, write into or choose; anything else only holds the place. */
const ANSWERS =
  'a[href], button, input, select, textarea, summary, [contenteditable], [role=dialog], [role=alertdialog]';

const DIALOG = '[role=dialog], [role=alertdialog]';

/** Whether nothing that answers to keys has the focus. */
export function isFocusFree(): boolean {
  const at = document.activeElement;
  return at === null || at === document.body || !(at.matches(ANSWERS) || at.hasAttribute('data-rac'));
}

export function focusContent(): void {
  document.getElementById(CONTENT)?.focus({ preventScroll: true });
}

/** From an element outwards, as far as the page itself. */
function around(element: Element): Element[] {
  const found: Element[] = [];
  for (let at: Element | null = element; at && at !== document.body; at = at.parentElement) found.push(at);
  return found;
}

/**
 * Keeps the place of whoever works by keys: when what had the focus leaves the page, as a button does that has done its
 * work, the nearest of what stood around it has the focus, and not the top of the page. What a dialog held is gone with
 * it; the place is then where the dialog was opened. What was only switched off while its act went on has it back.
 */
export function keepFocus(): void {
  /** What had the focus last, with what stands around it: on the page, and in the dialog over it. */
  let onPage: Element[] = [];
  let inDialog: Element[] = [];
  document.addEventListener('focusin', ({ target }) => {
    if (!(target instanceof Element)) return;
    inDialog = target.closest(DIALOG) ? around(target) : [];
    if (inDialog.length === 0) onPage = around(target);
  });
  const lost = (): boolean => document.activeElement === null || document.activeElement === document.body;
  function mend(): void {
    // Around content and dialogs there is no place to keep.
    const left = [...inDialog, ...onPage].find(
      (each): each is HTMLElement =>
        each instanceof HTMLElement && each.isConnected && each.closest(`#${CONTENT}, ${DIALOG}`) !== null,
    );
    if (!lost() || !left || left.matches(':disabled')) return;
    if (left !== inDialog[0] && left !== onPage[0] && !left.hasAttribute('tabindex')) left.tabIndex = -1;
    left.focus({ preventScroll: true });
  }
  new MutationObserver((changes) => {
    const last = inDialog[0] ?? onPage[0];
    const moved =
      last && (!last.isConnected || changes.some(({ type, target }) => type === 'attributes' && target === last));
    // A dialog that closes gives the focus back in the next frame; whoever has it by then keeps it.
    if (moved && lost()) requestAnimationFrame(() => requestAnimationFrame(mend));
  }).observe(document.body, { childList: true, subtree: true, attributeFilter: ['disabled'] });
}
