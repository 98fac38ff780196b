import { useQueryClient } from '@tanstack/react-query';
import { api, got } from '../api.js';
import type { Person } from '../api.paths.js';
import { MadeBadge } from '../handover/MadeBadge.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { PEOPLE } from './words.js';

/** Gives a badge and shows it to be printed, this once. */
export function GiveBadgeSheet({ person: { id, name, badgeSince }, onClose }: { person: Person; onClose: () => void }) {
  const words = PEOPLE.badge.giving;
  const queries = useQueryClient();
  const give = useChange(
    (_: null) => got(api.POST('/api/people/{id}/badge', { params: { path: { id } } })),
    () => queries.invalidateQueries({ queryKey: ['people'] }),
  );
  return (
    <Sheet title={words.title(name)} onClose={onClose} closeWord={give.data ? WORDS.close : WORDS.cancel}>
      {give.data ? (
        <>
          <MadeBadge {...give.data} />
          <p>{words.next(name)}</p>
        </>
      ) : (
        <>
          <p>{words.about}</p>
          {badgeSince !== null && <p>{words.ends}</p>}
          <ProblemNote problem={give.error} />
          <Button look="main" isDisabled={give.isPending} onPress={() => give.ask(null)}>
            {give.isPending ? WORDS.sending : words.action}
          </Button>
        </>
      )}
    </Sheet>
  );
}

/** Ends a badge that was lost. */
export function EndBadgeSheet({ person: { id, name }, onClose }: { person: Person; onClose: () => void }) {
  const words = PEOPLE.badge;
  const queries = useQueryClient();
  const end = useChange(
    (_: null) => got(api.DELETE('/api/people/{id}/badge', { params: { path: { id } } })),
    async () => {
      say(words.done(name));
      onClose();
      await queries.invalidateQueries({ queryKey: ['people'] });
    },
  );
  return (
    <Sheet title={words.title(name)} onClose={onClose} closeWord={WORDS.cancel}>
      <p>{words.about}</p>
      <ProblemNote problem={end.error} />
      <Button look="main" isDisabled={end.isPending} onPress={() => end.ask(null)}>
        {end.isPending ? WORDS.sending : words.action}
      </Button>
    </Sheet>
  );
}
