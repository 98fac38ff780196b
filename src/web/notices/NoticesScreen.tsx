import { useQuery, useQueryClient } from '@tanstack/react-query';
import { Link } from 'react-aria-components';
import { holdsText } from '../../core/find/lists.js';
import { useText } from '../app/router.js';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { Notice } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { csvOf, Export } from '../parts/Export.js';
import { Finder } from '../parts/Finder.js';
import { say } from '../parts/notices.js';
import { Nothing, Page, Part, Tag, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import '../record/record.css';
import { usePeopleNames } from '../stock/stock.js';
import { CalendarPart } from './CalendarPart.js';
import { MailPart } from './MailPart.js';
import { NOTICES as words } from './words.js';

/** What people should know, by matter, until one of them has seen it; and how it reaches them elsewhere. */
export default function NoticesScreen() {
  const { may } = useSession();
  const { data, error, refetch } = useQuery({
    queryKey: ['notices'],
    queryFn: () => got(api.GET('/api/notices')),
    staleTime: 0,
  });
  const [wanted, setWanted] = useText('find');
  const found = data?.filter(({ text }) => holdsText(wanted, [text])) ?? [];
  const groups = [...new Set(found.map(groupOf))];
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={<Export files={[csvOf('notices/list.csv', { find: wanted })]} />}
    >
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data?.length === 0 && (
        <Nothing title={words.empty}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      {data && data.length > 0 && (
        <>
          <p className="small">{words.help}</p>
          <Finder label={words.find} text={wanted} onText={setWanted} found={found.length} all={data.length} />
        </>
      )}
      {groups.map((group) => (
        <Part key={group} title={words.groups[group] ?? words.others}>
          <Group notices={found.filter((notice) => groupOf(notice) === group)} />
        </Part>
      ))}
      <CalendarPart />
      {may('manager', 'director', 'administrator') && <MailPart />}
    </Page>
  );
}

/** The kind of a matter stands before its first colon; kinds without a heading are shown together. */
function groupOf({ matter }: Notice): string {
  const kind = matter.split(':', 1)[0] ?? '';
  return Object.hasOwn(words.groups, kind) ? kind : '';
}

const MAY_SEE = ['technician', 'releaser', 'manager', 'director', 'administrator'] as const;

function Group({ notices }: { notices: readonly Notice[] }) {
  const queries = useQueryClient();
  const { may } = useSession();
  const send = useChange(
    (ids: string[], key) => got(api.POST('/api/notices/seen', { body: { ids }, ...once(key) })),
    async () => {
      say(words.done);
      await queries.invalidateQueries({ queryKey: ['notices'] });
    },
  );
  return (
    <>
      <ul className="lines">
        {notices.map((notice) => (
          <li key={notice.id} className="matter">
            <Line notice={notice} busy={send.isPending} onSeen={may(...MAY_SEE) ? () => send.ask([notice.id]) : null} />
          </li>
        ))}
      </ul>
      <ProblemNote problem={send.error} />
      {may(...MAY_SEE) && notices.length > 1 && (
        <div>
          <Button isDisabled={send.isPending} onPress={() => send.ask(notices.map(({ id }) => id))}>
            {words.seenAll}
          </Button>
        </div>
      )}
    </>
  );
}

function Line({ notice, busy, onSeen }: { notice: Notice; busy: boolean; onSeen: (() => void) | null }) {
  const { format, person } = useSession();
  const nameOf = usePeopleNames();
  const { at, text, runId, path, personId, overAt } = notice;
  return (
    <>
      <div>
        <p className="matter-text">{format.within(text)}</p>
        <p className="small figures tag-line">
          {format.dayAndClock(at)}
          {personId !== null && (
            <Tag frame={personId === person.id ? 'double' : 'plain'}>
              {personId === person.id ? words.forYou : words.forSomebody(nameOf(personId))}
            </Tag>
          )}
          {overAt !== null && (
            <Tag frame="soft">
              {words.over} {format.dayAndClock(overAt)}
            </Tag>
          )}
        </p>
      </div>
      <div className="row-ways">
        {runId !== null && <Link href={`/release/${runId}`}>{words.toRun}</Link>}
        {path !== null && (
          <Link href={path} aria-label={`${words.toPage}: ${text}`}>
            {words.toPage}
          </Link>
        )}
        {onSeen && (
          <Button isDisabled={busy} onPress={onSeen} aria-label={`${words.seen}: ${text}`}>
            {words.seen}
          </Button>
        )}
      </div>
    </>
  );
}
