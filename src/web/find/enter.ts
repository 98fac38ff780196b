import { type KeyboardEvent, useEffect, useEffectEvent, useRef } from 'react';

const ARROWS = new Set(['ArrowDown', 'ArrowUp']);

/**
 * Enter opens the line that is seen to be chosen, or the first where none is. Pressed before the answer to what stands in
 * the field, as a scanner and a quick typist do, it is kept until the answer is there and then opens what stands first in
 * it, never what an earlier text had found; whoever went to a line by the arrows means that line.
 *
 * @param answered Whether the list answers what stands in the field.
 * @param openFirst Opens the first line of the list, if it has one.
 */
export function useEnter(text: string, answered: boolean, openFirst: () => void) {
  const early = useRef<string | null>(null);
  const arrowed = useRef<string | null>(null);
  const open = useEffectEvent(() => {
    const meant = early.current === text;
    early.current = null;
    if (meant) openFirst();
  });
  useEffect(() => {
    if (answered) open();
  }, [answered]);
  return (event: KeyboardEvent<HTMLElement>): void => {
    if (ARROWS.has(event.key) && event.target instanceof HTMLInputElement) arrowed.current = text;
    if (event.key !== 'Enter' || !(event.target instanceof HTMLInputElement)) return;
    event.preventDefault();
    event.stopPropagation();
    // The line that is seen to be chosen: what the field says of it may lag behind by half a second.
    const line = event.currentTarget.parentElement?.querySelector<HTMLElement>('[role=menuitem][data-focused]');
    if (line && (answered || arrowed.current === text)) line.click();
    else if (answered) openFirst();
    else early.current = text;
  };
}
