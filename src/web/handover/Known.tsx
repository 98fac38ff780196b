import type { ReactNode } from 'react';
import { WORDS } from '../words.js';
import type { Asked } from './queries.js';
import { HANDOVER } from './words.js';

/** Shows an answer, or says that there is nothing of it, or that it is not known here: never the one for the other. */
export function Known<Answer>({
  asked: { data, failed },
  none,
  word,
  children,
}: {
  asked: Asked<Answer>;
  none: (answer: Answer) => boolean;
  word: string;
  children: (answer: Answer) => ReactNode;
}) {
  return (
    <>
      {data === undefined && <p>{failed ? HANDOVER.page.unknown : WORDS.loading}</p>}
      {data !== undefined && failed && <p className="small">{HANDOVER.page.old}</p>}
      {data !== undefined && (none(data) ? <p>{word}</p> : children(data))}
    </>
  );
}
