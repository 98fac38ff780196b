import { useSession } from '../app/session.js';
import { WORDS } from '../words.js';

/** Says by whose clock the date and time fields of this device are read, and that pages go by another where they do. */
export function TypedTimes() {
  const { zone: laboratory } = useSession().laboratory;
  const { timeZone: device } = Intl.DateTimeFormat().resolvedOptions();
  // One zone may have two names, an old and a new one.
  const same = Intl.DateTimeFormat(undefined, { timeZone: laboratory }).resolvedOptions().timeZone === device;
  return same ? WORDS.typedTimes.here(device) : WORDS.typedTimes.elsewhere(device, laboratory);
}
