import { useEffect, useEffectEvent, useState } from 'react';
import { kept } from '../parts/kept.js';
import { takesText } from '../parts/pedal.js';
import { keyOf, ScanReader } from '../parts/scan.js';

const SLASH = '/';
const KEPT = 'find-by-slash';

/** Whether a lone slash opens the palette on this device; whoever speaks to the computer may need it off (WCAG 2.1.4). */
export function useSlashChoice(): [boolean, (on: boolean) => void] {
  const [on, setOn] = useState(() => kept.read(KEPT) !== 'no');
  return [
    on,
    (wanted) => {
      kept.write(KEPT, wanted ? 'yes' : 'no');
      setOn(wanted);
    },
  ];
}

/** Tells of a slash pressed alone where no field takes text and no dialog stands in front; a scanned link holds slashes too. */
export function useSlash(onSlash: () => void): void {
  const pressed = useEffectEvent(onSlash);
  useEffect(() => {
    const reader = new ScanReader();
    let settling: ReturnType<typeof setTimeout> | undefined;
    const decide = (told: ReturnType<ScanReader['settle']>): void => {
      const alone = told.some((each) => each.kind === 'keys' && each.keys.length === 1 && each.keys[0] === SLASH);
      if (alone && kept.read(KEPT) !== 'no' && !document.querySelector('[role=dialog], [role=alertdialog]')) pressed();
    };
    const listen = (event: KeyboardEvent): void => {
      const key = keyOf(event);
      if (key === null || event.repeat || takesText(document.activeElement)) return;
      clearTimeout(settling);
      decide(reader.key(key, event.timeStamp));
      settling = setTimeout(() => decide(reader.settle()), reader.speed.gapMs + 20);
    };
    addEventListener('keydown', listen);
    return () => {
      removeEventListener('keydown', listen);
      clearTimeout(settling);
    };
  }, []);
}
