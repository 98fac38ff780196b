const NAMED = new Set(['Backspace', 'Enter', 'Escape']);

/**
 * Takes the letters that are typed from now on, until the field that was called for is there to take them: they are meant
 * for it, and must not press what has the focus meanwhile, as any key does at the bench. Escape gives the field up and the
 * keys back to the page. What is answered ends the taking and tells what was typed.
 */
export function takeAhead(onGivenUp: () => void): () => string {
  let typed = '';
  const listen = (event: KeyboardEvent): void => {
    const { key, ctrlKey, metaKey, altKey } = event;
    if (ctrlKey || metaKey || altKey || (key.length !== 1 && !NAMED.has(key))) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    if (key === 'Escape') {
      end();
      onGivenUp();
    } else if (key === 'Backspace') typed = typed.slice(0, -1);
    else if (key !== 'Enter') typed += key;
  };
  const end = (): string => {
    removeEventListener('keydown', listen, true);
    return typed;
  };
  addEventListener('keydown', listen, true);
  return end;
}
