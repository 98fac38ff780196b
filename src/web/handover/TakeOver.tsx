import { api, got } from '../api.js';
import type { Session } from '../api.paths.js';
import { useLive } from '../app/live.js';
import { useSession } from '../app/session.js';
import { isAway } from '../offline/kept-answers.js';
import { useOutbox } from '../offline/outbox.js';
import type { OpenedPass } from '../offline/pass-store.js';
import { keepPass, openPass } from '../offline/passes.js';
import { useChange } from '../parts/change.js';
import { say, sayProblem } from '../parts/notices.js';
import { type BadgeAndPin, BadgeForm } from './BadgeForm.js';
import { HANDOVER as words } from './words.js';

/**
 * Opens a session or, while the server is out of reach, the day pass on this device. Entries of the person before that are
 * not sent yet need that person's session, so this leaves it alone.
 */
async function take({ badge, pin }: BadgeAndPin, unsent: boolean): Promise<Session | OpenedPass> {
  if (unsent) return openPass(badge, pin);
  try {
    return await got(api.POST('/api/session/hand-over', { body: { badge, pin } }));
  } catch (problem) {
    if (!isAway(problem)) throw problem;
    return openPass(badge, pin);
  }
}

/** Takes a station over by badge and PIN. */
export function TakeOver({
  scanned,
  takesFocus,
  onTaken,
}: {
  scanned?: string;
  takesFocus?: boolean;
  onTaken?: () => void;
}) {
  const { begin, goOnUnder, person } = useSession();
  const { connected } = useLive();
  // Only their own session sends them, and what comes after in the same run waits behind them.
  const unsent = useOutbox().some(({ by, refused }) => by.personId === person.id && refused === null);
  const takeOver = useChange(
    (asked: BadgeAndPin) => take(asked, unsent),
    async (taken, { badge: shown, pin: typed }) => {
      onTaken?.();
      if ('key' in taken) await goOnUnder(taken);
      else begin(taken);
      say(words.done(taken.person.name));
      if (!('key' in taken)) await keepPass(shown, typed, taken).catch(sayProblem);
    },
  );
  return (
    <BadgeForm
      {...(scanned !== undefined && { scanned })}
      {...(takesFocus && { takesFocus })}
      action={words.action}
      waits={unsent && connected ? words.unsent(person.name) : null}
      pending={takeOver.isPending}
      problem={takeOver.error}
      onAsk={takeOver.ask}
    />
  );
}
