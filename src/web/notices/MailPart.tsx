import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { say } from '../parts/notices.js';
import { Part, Tag, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { NOTICES as words } from './words.js';

const FRAMES = { waiting: 'soft', sent: 'plain', 'given up': 'double' } as const;

/** Whether mail goes, where to, and what became of each message. */
export function MailPart() {
  const queries = useQueryClient();
  const { format } = useSession();
  const { data, error, refetch } = useQuery({ queryKey: ['mail'], queryFn: () => got(api.GET('/api/mail')) });
  const refresh = () => queries.invalidateQueries({ queryKey: ['mail'] });
  const trial = useChange(
    (_: null, key) => got(api.POST('/api/mail/trial', { ...once(key) })),
    async () => {
      say(words.mailTried);
      await refresh();
    },
  );
  const again = useChange(
    (id: string, key) => got(api.POST('/api/mail/{id}/again', { params: { path: { id } }, ...once(key) })),
    refresh,
  );
  return (
    <Part title={words.mail}>
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data && <p>{data.from === null ? words.mailOff : words.mailOn(data.to.join(', '))}</p>}
      {data && data.from !== null && (
        <div>
          <Button isDisabled={trial.isPending} onPress={() => trial.ask(null)}>
            {words.mailTry}
          </Button>
        </div>
      )}
      {data && data.from !== null && data.items.length === 0 && <p className="small">{words.mailNone}</p>}
      <ProblemNote problem={trial.error ?? again.error} />
      <ul className="lines">
        {data?.items.map(({ id, subject, at, state, error: said }) => (
          <li key={id}>
            <p className="tag-line">
              {subject} <span className="small figures">{format.dayAndClock(at)}</span>
              <Tag frame={FRAMES[state]}>{words.mailStates[state]}</Tag>
              {state === 'given up' && (
                <Button
                  isDisabled={again.isPending}
                  onPress={() => again.ask(id)}
                  aria-label={`${words.mailAgain}: ${subject}`}
                >
                  {words.mailAgain}
                </Button>
              )}
            </p>
            {said !== null && (
              <p className="small">
                {words.mailSaid} {said}
              </p>
            )}
          </li>
        ))}
      </ul>
    </Part>
  );
}
