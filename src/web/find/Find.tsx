import { lazy, Suspense, useEffect, useState } from 'react';
import type { Screen } from '../app/screen.js';
import { Button } from '../parts/Button.js';
import { useSlash } from './slash.js';
import { FIND } from './words.js';

/** Loaded when first asked for, since the bench has no time for it. */
const FindSheet = lazy(() => import('./FindSheet.js'));

/** One way to any specimen, lot, bottle, protocol, order, person or page: a button, Ctrl and K, or a lone slash. */
export function Find({ screens }: { screens: readonly Screen[] }) {
  const [open, setOpen] = useState(false);
  useSlash(() => setOpen(true));
  useEffect(() => {
    const listen = (event: KeyboardEvent): void => {
      const called = (event.ctrlKey || event.metaKey) && event.key.toLowerCase() === 'k';
      if (!called) return;
      event.preventDefault();
      setOpen(true);
    };
    addEventListener('keydown', listen);
    return () => removeEventListener('keydown', listen);
  }, []);
  return (
    <>
      <Button look="quiet" onPress={() => setOpen(true)} aria-keyshortcuts="Control+K">
        {FIND.open} <kbd className="key">{FIND.shortcut}</kbd>
      </Button>
      {open && (
        <Suspense>
          <FindSheet screens={screens} onClose={() => setOpen(false)} />
        </Suspense>
      )}
    </>
  );
}
