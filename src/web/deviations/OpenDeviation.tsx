import { Link } from 'react-aria-components';
import type { OpenFrom } from './queries.js';
import { useSession } from '../app/session.js';
import { DEVIATIONS } from './words.js';

/** Leads from where something went wrong to the page that opens a deviation on it; nothing for who may open none. */
export function OpenDeviation({ from, about }: { from: OpenFrom; about?: string }) {
  const { may } = useSession();
  if (!may('technician', 'releaser', 'manager', 'director')) return null;
  const address = new URLSearchParams({ ...from });
  return (
    <Link
      href={`/deviations/new?${address.toString()}`}
      className="button button-quiet"
      {...(about && { 'aria-label': DEVIATIONS.openOn(about) })}
    >
      {DEVIATIONS.open}
    </Link>
  );
}
