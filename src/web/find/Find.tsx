import { lazy, Suspense, useEffect, useEffectEvent, useRef, useState } from 'react';
import type { Screen } from '../app/screen.js';
import { Button } from '../parts/Button.js';
import { sayProblem } from '../parts/notices.js';
import { useSlash } from './slash.js';
import { takeAhead } from './type-ahead.js';
import { FIND } from './words.js';

/** Loaded when first asked for, since the bench has no time for it. */
const load = () => import('./FindSheet.js');
const FindSheet = lazy(load);

/** One way to any specimen, lot, bottle, protocol, order, person or page: a button, Ctrl and K, or a lone slash. */
export function Find({ screens }: { screens: readonly Screen[] }) {
  const [open, setOpen] = useState(false);
  const ahead = useRef<{ end: () => string } | null>(null);
  const call = (): void => {
    if (open || ahead.current) return;
    let wanted = true;
    const end = takeAhead(() => {
      wanted = false;
      ahead.current = null;
    });
    ahead.current = { end };
    load().then(
      () => wanted && setOpen(true),
      () => {
        if (!wanted) return;
        end();
        ahead.current = null;
        sayProblem(new Error(FIND.unreached));
      },
    );
  };
  const typedAhead = (): string => ahead.current?.end() ?? '';
  const close = (): void => {
    ahead.current = null;
    setOpen(false);
  };
  const byKeys = useEffectEvent(call);
  useSlash(call);
  useEffect(() => {
    const listen = (event: KeyboardEvent): void => {
      const called = (event.ctrlKey || event.metaKey) && event.key.toLowerCase() === 'k';
      if (!called) return;
      event.preventDefault();
      byKeys();
    };
    addEventListener('keydown', listen);
    return () => removeEventListener('keydown', listen);
  }, []);
  return (
    <>
      <Button look="quiet" onPress={call} aria-keyshortcuts="Control+K">
        {FIND.open} <kbd className="key">{FIND.shortcut}</kbd>
      </Button>
      {open && (
        <Suspense>
          <FindSheet screens={screens} typedAhead={typedAhead} onClose={close} />
        </Suspense>
      )}
    </>
  );
}
