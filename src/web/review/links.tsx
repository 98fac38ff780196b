import type { ReactNode } from 'react';
import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';

/** Where a thing is shown; null when it has no page, or none for a reviewer. */
function addressOf(kind: string, id: string, reviewer: boolean): string | null {
  switch (kind) {
    case 'run':
      return `/release/${id}`;
    case 'revision':
      return `/protocols/${id}`;
    case 'lot':
      return `/stock/${id}`;
    case 'person':
      return `/record/ask?topic=person&about=${id}`;
    case 'protocol':
      return `/record/ask?topic=protocol&about=${id}`;
    case 'instrument':
      return `/record/ask?topic=instrument&about=${id}`;
    case 'subject':
      return `/record/ask?topic=specimen&about=${id}`;
    case 'control-result':
      return reviewer ? null : `/controls/failures/${id}`;
    case 'lookback':
      return reviewer ? null : `/lookbacks/${id}`;
    default:
      return null;
  }
}

/** A thing by its name, and a link to it where it has a page. */
export function Thing({ kind, id, children }: { kind: string; id: string; children: ReactNode }) {
  const { may } = useSession();
  const address = addressOf(kind, id, may('reviewer'));
  return address === null ? <>{children}</> : <Link href={address}>{children}</Link>;
}

/** The end of an id, which differs more than its beginning; a name stays whole. */
export function shortId(text: string): string {
  return /^[0-9a-f-]{32,64}$/.test(text) ? `…${text.slice(-8)}` : text;
}
