/** How long the field may take to come; after that keys are the page's again. */
const PATIENCE_MS = 5_000;

/**
 * Takes the letters that are typed from now on, until the field that was called for is there to take them: they are meant
 * for it, and must not press what has the focus meanwhile, as any key does at the bench. What is answered ends that and
 * tells what was typed.
 */
export function takeAhead(): () => string {
  let typed = '';
  const listen = (event: KeyboardEvent): void => {
    const { key, ctrlKey, metaKey, altKey } = event;
    if (ctrlKey || metaKey || altKey || (key.length !== 1 && key !== 'Backspace' && key !== 'Enter')) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    if (key === 'Backspace') typed = typed.slice(0, -1);
    else if (key !== 'Enter') typed += key;
  };
  const end = (): string => {
    clearTimeout(timer);
    removeEventListener('keydown', listen, true);
    return typed;
  };
  const timer = setTimeout(end, PATIENCE_MS);
  addEventListener('keydown', listen, true);
  return end;
}
