import { useEffect } from 'react';
import { useSession } from '../app/session.js';
import { isLostWithPage, useOutbox } from './outbox.js';
import { OFFLINE } from './words.js';

/** What stands on this device and not on the server, in a few words. */
export function Unsent() {
  const { person } = useSession();
  const entries = useOutbox();
  const waiting = entries.filter(({ refused }) => refused === null);
  const lost = isLostWithPage(waiting);
  useEffect(() => {
    if (!lost) return undefined;
    // This browser keeps nothing through a reload, so it asks before the page goes.
    const ask = (event: BeforeUnloadEvent): void => event.preventDefault();
    addEventListener('beforeunload', ask);
    return () => removeEventListener('beforeunload', ask);
  }, [lost]);
  const own = waiting.filter(({ by }) => by.personId === person.id).length;
  const others = waiting.filter(({ by }) => by.personId !== person.id).map(({ by }) => by.name);
  const refused = entries.length - waiting.length;
  return (
    <>
      {own > 0 && <p className="live live-lost">{OFFLINE.here(own)}</p>}
      {[...new Set(others)].map((name) => (
        <p key={name} className="live live-lost">
          {OFFLINE.of(name, others.filter((each) => each === name).length)}
        </p>
      ))}
      {refused > 0 && <p className="live live-lost">{OFFLINE.refused(refused)}</p>}
    </>
  );
}
