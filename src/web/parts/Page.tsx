import { type ReactNode, use, useEffect } from 'react';
import { Link } from 'react-aria-components';
import { usePath } from '../app/router.js';
import { WORDS } from '../words.js';
import './desk.css';
import { Opens } from './opens.js';
import { ProblemNote } from './ProblemNote.js';

/** A page at the desk: where one came from, what it is about, what can be done with the whole of it. */
export function Page({
  title,
  above,
  about,
  ways,
  children,
}: {
  title: ReactNode;
  above?: { href: string; word: string };
  about?: ReactNode;
  ways?: ReactNode;
  children: ReactNode;
}) {
  const path = usePath();
  const opens = use(Opens);
  useEffect(() => {
    // A page begins at its top, unless the address names a place on it.
    if (location.hash === '') scrollTo(0, 0);
  }, [path]);
  return (
    <div className="desk">
      <header className="desk-head">
        <div>
          {above && opens(above.href) && (
            <Link href={above.href} className="desk-above">
              <span aria-hidden="true">↑ </span>
              {above.word}
            </Link>
          )}
          <h1>{title}</h1>
          {about && <div className="desk-about">{about}</div>}
        </div>
        {ways && <div className="desk-ways">{ways}</div>}
      </header>
      {children}
    </div>
  );
}

/** A part of a page under its own heading. */
export function Part({
  title,
  about,
  id,
  children,
}: {
  title: ReactNode;
  about?: ReactNode;
  /** So that links of the page can lead to it. */
  id?: string;
  children: ReactNode;
}) {
  return (
    <section className="desk-part" {...(id && { id })}>
      <h2>{title}</h2>
      {about && <p className="small">{about}</p>}
      {children}
    </section>
  );
}

/** What stands where something is still being fetched, or could not be. */
export function Waiting({ error, onRetry }: { error: Error | null; onRetry: () => void }) {
  return error ? <ProblemNote problem={error} onRetry={onRetry} /> : <p className="opening">{WORDS.loading}</p>;
}

/** What stands where nothing is yet: what would be here, how it gets here, and where to begin, for whoever may. */
export function Nothing({
  title,
  first,
  children,
}: {
  title: string;
  /** Where the first act is done; not shown to who cannot open it. */
  first?: { href: string; word: string };
  children: ReactNode;
}) {
  const opens = use(Opens);
  return (
    <div className="nothing">
      <p className="nothing-title">{title}</p>
      <div>{children}</div>
      {first && opens(first.href) && (
        <p>
          <Link href={first.href}>{first.word}</Link>
        </p>
      )}
    </div>
  );
}

/**
 * A word for where something stands, told apart by its frame as well: `plain` is as it should be, `soft` is yet to come,
 * `double` asks for a person, `full` stops.
 */
export function Tag({
  frame = 'plain',
  children,
}: {
  frame?: 'plain' | 'soft' | 'double' | 'full';
  children: ReactNode;
}) {
  return <span className={`tag tag-${frame}`}>{children}</span>;
}
