import { useQuery, useQueryClient } from '@tanstack/react-query';
import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { Notice } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { say } from '../parts/notices.js';
import { Nothing, Page, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import './record.css';
import { NOTICES as words } from './words.js';

/** What people should know, until one of them has seen it. */
export default function NoticesScreen() {
  const { data, error, refetch } = useQuery({
    queryKey: ['notices'],
    queryFn: () => got(api.GET('/api/notices')),
    staleTime: 0,
  });
  return (
    <Page title={words.title} about={<p>{words.about}</p>}>
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data?.length === 0 && (
        <Nothing title={words.empty}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      {data && data.length > 0 && (
        <>
          <p className="small">{words.help}</p>
          <ul className="lines">
            {data.map((notice) => (
              <li key={notice.id} className="matter">
                <NoticeLine notice={notice} />
              </li>
            ))}
          </ul>
        </>
      )}
    </Page>
  );
}

function NoticeLine({ notice: { id, at, text, runId } }: { notice: Notice }) {
  const queries = useQueryClient();
  const { format, may } = useSession();
  const send = useChange(
    (_: null, key) => got(api.POST('/api/notices/{id}/seen', { params: { path: { id } }, ...once(key) })),
    async () => {
      say(words.done);
      await queries.invalidateQueries({ queryKey: ['notices'] });
    },
  );
  return (
    <>
      <div>
        <p className="matter-text">{format.within(text)}</p>
        <p className="small figures">{format.dayAndClock(at)}</p>
        <ProblemNote problem={send.error} />
      </div>
      <div className="row-ways">
        {runId !== null && <Link href={`/release/${runId}`}>{words.toRun}</Link>}
        {may('technician', 'releaser', 'manager', 'director', 'administrator') && (
          <Button isDisabled={send.isPending} onPress={() => send.ask(null)} aria-label={`${words.seen}: ${text}`}>
            {words.seen}
          </Button>
        )}
      </div>
    </>
  );
}
