import { type ReactNode, useRef } from 'react';
import { navigate, useAsked } from '../app/router.js';
import { WORDS } from '../words.js';
import { Button } from './Button.js';
import { Field } from './Field.js';
import { say, sayProblem } from './notices.js';

interface Typed {
  label: string;
  help?: ReactNode;
  text: string;
  onText: (text: string) => void;
}

/**
 * What narrows a list on the page, always kept in the address: words to look for, choices beside them, and how much of the
 * list is left, said aloud. What is narrowed can be undone at once, and its address handed on.
 */
export function Finder({
  found,
  all,
  children,
  ...typed
}: (Typed | { label?: undefined }) & {
  /** How many are shown; undefined while that is not known. */
  found: number | undefined;
  /** Of how many; `more` while nobody has counted those further down. */
  all?: number | 'more' | undefined;
  children?: ReactNode;
}) {
  const narrowed = useAsked() !== '';
  const place = useRef<HTMLDivElement>(null);
  const clear = (): void => {
    navigate(location.pathname);
    // The button is gone with what it cleared.
    place.current?.querySelector<HTMLElement>('input, select')?.focus();
  };
  return (
    <div className="finder" role="search" ref={place}>
      {typed.label !== undefined && (
        <Field
          label={typed.label}
          help={typed.help}
          type="search"
          value={typed.text}
          onChange={typed.onText}
          autoComplete="off"
        />
      )}
      {children}
      <p role="status" className="small figures">
        {found !== undefined && WORDS.shown(found, all)}
      </p>
      {narrowed && (
        <div className="finder-ways">
          <Button look="quiet" onPress={clear}>
            {WORDS.narrowed.clear}
          </Button>
          {'clipboard' in navigator && (
            <Button
              look="quiet"
              onPress={() =>
                void navigator.clipboard.writeText(location.href).then(() => say(WORDS.narrowed.copied), sayProblem)
              }
            >
              {WORDS.narrowed.copy}
            </Button>
          )}
        </div>
      )}
    </div>
  );
}
