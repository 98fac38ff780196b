import type { ReactNode } from 'react';
import { WORDS } from '../words.js';
import { Field } from './Field.js';

/** What narrows a list on the page: words to look for, choices beside them, and how much of the list is left, said aloud. */
export function Finder({
  label,
  help,
  text,
  onText,
  found,
  all,
  children,
}: {
  label: string;
  help?: ReactNode;
  text: string;
  onText: (text: string) => void;
  /** How many are shown, and of how many. */
  found: number;
  all: number;
  children?: ReactNode;
}) {
  return (
    <div className="finder" role="search">
      <Field label={label} help={help} type="search" value={text} onChange={onText} autoComplete="off" />
      {children}
      <p role="status" className="small figures">
        {WORDS.shown(found, all)}
      </p>
    </div>
  );
}
