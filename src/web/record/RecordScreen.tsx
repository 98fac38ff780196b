import { useQuery } from '@tanstack/react-query';
import { Link } from 'react-aria-components';
import { navigate, useParam } from '../app/router.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { RecordEntry } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { Nothing, Page, Waiting } from '../parts/Page.js';
import { ScanField } from '../parts/ScanField.js';
import './record.css';
import { RECORD as words } from './words.js';

/** Entries on one page. */
const TAKE = 50;

/** The part of an entry's bytes that this page reads; the bytes themselves are shown whole. */
interface Body {
  actor: { person: string | null; device: string | null };
  subject: { kind: string; id: string };
}

/** The laboratory's record, newest first. */
export default function RecordScreen() {
  const [subject] = useParam('subject');
  // The number after which the page begins; null for the newest page.
  const [from, setFrom] = useParam('after');
  const after = from !== null && /^\d{1,12}$/.test(from) ? Number(from) : null;
  const setAfter = (to: number | null): void => setFrom(to === null ? null : String(to));
  const { data, error, refetch } = useEntries(subject, after);
  const choose = (id: string | null): void =>
    navigate(id === null ? '/record' : `/record?subject=${encodeURIComponent(id)}`);
  return (
    <Page
      title={words.title}
      about={
        <p>
          {words.about} <code>{words.verify}</code> {words.aboutVerify}
        </p>
      }
    >
      <div className="record-find">
        <ScanField label={words.find} action={words.findAction} onText={choose} />
      </div>
      {subject !== null && (
        <p className="tag-line">
          {words.only} <code>{subject}</code> <Button onPress={() => choose(null)}>{words.all}</Button>
        </p>
      )}
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data && data.entries.length === 0 && (
        <Nothing title={subject === null ? words.empty : words.noneAbout}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      {data && data.entries.length > 0 && (
        <>
          <Turner data={data} whole={subject === null} onTurn={setAfter} />
          <Entries entries={[...data.entries].reverse()} />
          <Turner data={data} whole={subject === null} onTurn={setAfter} />
        </>
      )}
    </Page>
  );
}

interface Entered {
  last: number;
  entries: RecordEntry[];
}

/** The record answers upward from a number; the newest page is found from the last number. */
function useEntries(subject: string | null, after: number | null) {
  return useQuery({
    queryKey: ['record', subject, after],
    queryFn: async (): Promise<Entered> => {
      const ask = (from: number, take: number): Promise<Entered> =>
        got(
          api.GET('/api/record', {
            params: { query: { after: from, take, ...(subject !== null && { subject }) } },
          }),
        );
      if (subject !== null) return ask(after ?? 0, 500);
      const { last } = after === null ? await ask(0, 1) : { last: 0 };
      return ask(after ?? Math.max(0, last - TAKE), TAKE);
    },
    staleTime: 0,
  });
}

/** Turns the pages of the record. */
function Turner({
  data: { last, entries },
  whole,
  onTurn,
}: {
  data: Entered;
  whole: boolean;
  onTurn: (after: number | null) => void;
}) {
  const [first, newest] = [entries[0]?.seq ?? 0, entries.at(-1)?.seq ?? 0];
  if (!whole) return null;
  return (
    <div className="turner">
      <Button isDisabled={newest >= last} onPress={() => onTurn(null)}>
        {words.newest}
      </Button>
      <Button isDisabled={newest >= last} onPress={() => onTurn(Math.min(newest, last - TAKE))}>
        {words.newer}
      </Button>
      <span className="figures">{words.range(first, newest, last)}</span>
      <Button isDisabled={first <= 1} onPress={() => onTurn(Math.max(0, first - 1 - TAKE))}>
        {words.older}
      </Button>
    </div>
  );
}

function Entries({ entries }: { entries: readonly RecordEntry[] }) {
  const { format } = useSession();
  const people = useQuery({ queryKey: ['people'], queryFn: () => got(api.GET('/api/people')) });
  const nameOf = (id: string): string => people.data?.find((each) => each.id === id)?.name ?? id;
  return (
    <div className="table-place">
      <table className="entries">
        <thead>
          <tr>
            <th scope="col">{words.number}</th>
            <th scope="col">{words.time}</th>
            <th scope="col">{words.act}</th>
            <th scope="col">{words.subject}</th>
            <th scope="col">{words.who}</th>
            <th scope="col">{words.hash}</th>
          </tr>
        </thead>
        <tbody>
          {entries.map(({ seq, at, act, body, hash }) => {
            const { actor, subject } = JSON.parse(body) as Body;
            const address = addressOf(subject);
            return (
              <tr key={seq}>
                <th scope="row" className="figures">
                  {seq}
                </th>
                <td data-label={words.time} className="figures">
                  {format.dayAndClock(at)}
                </td>
                <td data-label={words.act}>
                  <code>{act}</code>
                </td>
                <td data-label={words.subject}>
                  {subject.kind}{' '}
                  <Link href={`/record?subject=${encodeURIComponent(subject.id)}`}>
                    <span className="unseen">{words.onlyThis}</span> <code>{short(subject.id)}</code>
                  </Link>{' '}
                  {address && (
                    <Link href={address} className="small">
                      {words.toThing}
                    </Link>
                  )}
                </td>
                <td data-label={words.who}>
                  {actor.person !== null && nameOf(actor.person)}
                  {actor.device !== null && `${words.device} ${short(actor.device)}`}
                  {actor.person === null && actor.device === null && words.program}
                </td>
                <td data-label={words.hash}>
                  <details>
                    <summary>
                      <span className="unseen">{words.whole}</span>
                      <code>{hash.slice(0, 12)}…</code>
                    </summary>
                    <p>
                      <code className="hash">{hash}</code>
                    </p>
                    <p className="small">{words.bytes}</p>
                    <pre>{body}</pre>
                  </details>
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </div>
  );
}

/** The end of an id, which differs more than its beginning. */
function short(id: string): string {
  return id.length > 14 ? `…${id.slice(-8)}` : id;
}

/** Where the thing itself is shown. */
function addressOf({ kind, id }: Body['subject']): string | null {
  switch (kind) {
    case 'run':
      return `/release/${id}`;
    case 'revision':
      return `/protocols/${id}`;
    case 'lot':
      return `/stock/${id}`;
    default:
      return null;
  }
}
