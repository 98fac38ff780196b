import { useEffect, useState, useSyncExternalStore } from 'react';
import { isReached, whenReachChanges } from '../api.js';
import { useSession } from '../app/session.js';
import { Button } from '../parts/Button.js';
import { benchClock } from '../parts/ticker.js';
import { isLostWithPage, useOutbox } from './outbox.js';
import { OFFLINE } from './words.js';

/** What stands on this device and not on the server, in a few words. */
export function Unsent() {
  const { person, underPass, signInToSend, format } = useSession();
  const reached = useSyncExternalStore(whenReachChanges, isReached);
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
  const allSent = useAllSent(entries.length);
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
      {allSent !== null && <p className="live">{OFFLINE.allSent(format.clock(allSent))}</p>}
      {underPass && <p className="live live-lost">{OFFLINE.pass.acting}</p>}
      {signInToSend && reached && (
        <p className="live live-lost">
          <Button look="quiet" onPress={signInToSend}>
            {OFFLINE.pass.signIn}
          </Button>
        </p>
      )}
      {refused > 0 && <p className="live live-lost">{OFFLINE.refused(refused)}</p>}
    </>
  );
}

/** What is sent at once needs no word; what had to wait this long does. */
const WAITED_MS = 1_000;

/** When the last of what had to wait on this device was sent; null while something waits, or nothing had to. */
function useAllSent(count: number): string | null {
  const [waited, setWaited] = useState(false);
  const [at, setAt] = useState<string | null>(null);
  const waiting = count > 0;
  useEffect(() => {
    if (!waiting) return undefined;
    const timer = setTimeout(() => {
      setWaited(true);
      setAt(null);
    }, WAITED_MS);
    return () => clearTimeout(timer);
  }, [waiting]);
  if (!waiting && waited) {
    setWaited(false);
    setAt(benchClock.now().at);
  }
  return waiting ? null : at;
}
