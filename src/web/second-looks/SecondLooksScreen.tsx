import { useQueryClient } from '@tanstack/react-query';
import { Link } from 'react-aria-components';
import { ASKING_ACTS, SILENT_ACTS } from '../../core/second-look/acts.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { SecondLook } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { say } from '../parts/notices.js';
import { Nothing, Page, Part, Tag, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { LookedAtLine } from './LookedAtLine.js';
import { type LookList, useLookedAt, useLooks } from './queries.js';
import './second-looks.css';
import { SECOND_LOOKS as words } from './words.js';

/** Released results of which the gate says worse now, the acts that made it be asked, and what became of them. */
export default function SecondLooksScreen() {
  return (
    <Page
      title={words.title}
      about={
        <>
          <p>{words.about}</p>
          <p className="small">{words.caution}</p>
        </>
      }
    >
      <List list="in question" />
      <List list="looked at again" />
      <Acts />
      <List list="closed" />
      <Rules />
    </Page>
  );
}

function List({ list }: { list: LookList }) {
  const found = useLookedAt(list);
  const { title, about, empty } = words.lists[list];
  const items = found.data?.pages.flatMap((page) => page.items);
  // Usually over in a moment: nothing is shown where nothing is under way.
  if (list === 'looked at again' && items?.length === 0) return null;
  return (
    <Part title={title} about={about}>
      {!items && <Waiting error={found.error} onRetry={() => void found.refetch()} />}
      {items?.length === 0 && list === 'in question' && (
        <Nothing title={empty}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      {items?.length === 0 && list === 'closed' && <p>{empty}</p>}
      <ul className="lines">
        {items?.map((item) => (
          <li key={item.release.id}>
            <LookedAtLine item={item} />
          </li>
        ))}
      </ul>
      {found.hasNextPage && (
        <div>
          <Button onPress={() => void found.fetchNextPage()}>{words.more}</Button>
        </div>
      )}
    </Part>
  );
}

function Acts() {
  const looks = useLooks();
  const all = looks.data?.pages.flatMap(({ items }) => items);
  return (
    <Part title={words.acts.title} about={words.acts.about}>
      {!all && <Waiting error={looks.error} onRetry={() => void looks.refetch()} />}
      {all?.length === 0 && <p>{words.acts.empty}</p>}
      <ul className="lines">
        {all?.map((look) => (
          <li key={look.id}>
            <Act look={look} />
          </li>
        ))}
      </ul>
      {looks.hasNextPage && (
        <div>
          <Button onPress={() => void looks.fetchNextPage()}>{words.more}</Button>
        </div>
      )}
    </Part>
  );
}

function Act({ look }: { look: SecondLook }) {
  const { format, may } = useSession();
  const queries = useQueryClient();
  const { id, cause, reason, path, at, person, asked, answered, worsened } = look;
  const under = answered < asked;
  const ask = useChange(
    () => got(api.POST('/api/second-looks/{id}/asking', { params: { path: { id } } })),
    async () => {
      say(words.acts.asked);
      await queries.invalidateQueries({ queryKey: ['runs', 'second-looks'] });
    },
  );
  return (
    <div className="look-act">
      <p className="tag-line">
        <Link href={path} className="line-title">
          {words.causes[cause]}
        </Link>
        <Tag frame={under ? 'soft' : worsened > 0 ? 'double' : 'plain'}>
          {under ? words.acts.progress(answered, asked) : words.acts.result(worsened, asked)}
        </Tag>
        <span className="small figures">
          <time dateTime={at}>{format.dayAndClock(at)}</time>
        </span>
        {person !== null && <span className="small">{words.acts.by(person)}</span>}
      </p>
      <p>{format.within(reason)}</p>
      {under && (
        <p className="tag-line">
          <progress value={answered} max={asked} aria-label={words.acts.progress(answered, asked)} />
          {may('releaser', 'director', 'administrator') && (
            <Button look="quiet" isDisabled={ask.isPending} onPress={() => ask.ask(undefined)}>
              {words.acts.again}
            </Button>
          )}
        </p>
      )}
      <ProblemNote problem={ask.error} />
    </div>
  );
}

/** What the program knows of its own acts, for whoever wonders why nothing was asked. */
function Rules() {
  const { rules, causes } = words;
  return (
    <details className="look-rules">
      <summary>{rules.title}</summary>
      <p>{rules.recall}</p>
      <Table
        title={rules.asking}
        head={[rules.act, rules.cause]}
        rows={Object.entries(ASKING_ACTS).map(([act, asks]) => [act, asks.map((cause) => causes[cause]).join('; ')])}
      />
      <Table title={rules.silent} head={[rules.act, rules.reason]} rows={Object.entries(SILENT_ACTS)} />
    </details>
  );
}

function Table({ title, head, rows }: { title: string; head: [string, string]; rows: [string, string][] }) {
  return (
    <div className="table-place">
      <table>
        <caption>{title}</caption>
        <thead>
          <tr>
            {head.map((each) => (
              <th key={each} scope="col">
                {each}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map(([act, said]) => (
            <tr key={act}>
              <th scope="row">{act}</th>
              <td data-label={head[1]}>{said}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
