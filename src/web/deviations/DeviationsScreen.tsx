import { useInfiniteQuery, type UseInfiniteQueryResult } from '@tanstack/react-query';
import { Link } from 'react-aria-components';
import { DEVIATION_SUBJECTS, type DeviationSubject } from '../../core/deviations/deviation.js';
import { api, got } from '../api.js';
import { useParam } from '../app/router.js';
import { useSession } from '../app/session.js';
import { Button } from '../parts/Button.js';
import { csvOf, Export } from '../parts/Export.js';
import { Finder } from '../parts/Finder.js';
import { Nothing, Page, Part, Waiting } from '../parts/Page.js';
import { SelectField } from '../parts/SelectField.js';
import { WORDS } from '../words.js';
import './deviations.css';
import { DeviationLine } from './parts.js';
import { type Deviation, DEVIATIONS_KEY, useWorkers } from './queries.js';
import { DEVIATIONS } from './words.js';

const words = DEVIATIONS.list;
type Show = keyof typeof words.shows;
const ANY = 'any';

interface Wanted {
  show: Show;
  owner?: string;
  subject?: DeviationSubject;
}

interface Page {
  items: Deviation[];
  next: string | null;
  open: number;
  overdue: number;
}

/** What went wrong and is not over: one's own on top, in each part what is overdue first. */
export default function DeviationsScreen() {
  const { person, may } = useSession();
  const [chosen, choose] = useParam('show');
  const [who, chooseWho] = useParam('who');
  const [about, chooseAbout] = useParam('about');
  const workers = useWorkers();
  const show: Show = chosen === 'overdue' || chosen === 'closed' ? chosen : 'open';
  const subject = DEVIATION_SUBJECTS.find((each) => each === about);
  const filter = subject === undefined ? {} : { subject };
  const owner = show === 'closed' ? null : who;
  const mayOpen = may('technician', 'releaser', 'manager', 'director');
  const yours = show === 'open' && owner === null && mayOpen;
  const all = useDeviations({ show, ...filter, ...(owner !== null && { owner }) }, true);
  const own = useDeviations({ show, ...filter, owner: person.id }, yours);
  const counts = all.data?.pages[0];
  const found = all.data?.pages.flatMap(({ items }) => items);
  return (
    <Page
      title={DEVIATIONS.title}
      about={
        <>
          <p>{DEVIATIONS.about}</p>
          {counts && <p className="figures">{words.counts(counts.open, counts.overdue)}</p>}
        </>
      }
      ways={
        <>
          {mayOpen && (
            <Link href="/deviations/new" className="button button-plain">
              {DEVIATIONS.open}
            </Link>
          )}
          <Export
            files={[
              csvOf('deviations/list.csv', {
                state: show === 'closed' ? 'closed' : null,
                overdue: show === 'overdue' ? 'true' : null,
                owner,
                subject,
              }),
            ]}
          />
        </>
      }
    >
      <Finder found={found?.length} all={all.hasNextPage ? 'more' : undefined}>
        <SelectField
          label={words.show}
          value={show}
          onChange={(id) => choose(id === 'open' ? null : id)}
          options={Object.entries(words.shows).map(([id, name]) => ({ id: id as Show, name }))}
        />
        {show !== 'closed' && (
          <SelectField
            label={words.who}
            value={who ?? ANY}
            onChange={(id) => chooseWho(id === ANY ? null : id)}
            options={[{ id: ANY, name: words.everybody }, ...(workers.data ?? [])]}
          />
        )}
        <SelectField
          label={words.subject}
          value={subject ?? ANY}
          onChange={(id) => chooseAbout(id === ANY ? null : id)}
          options={[
            { id: ANY, name: words.anySubject },
            ...DEVIATION_SUBJECTS.map((id) => ({ id, name: DEVIATIONS.subjects[id] })),
          ]}
        />
      </Finder>
      {yours && (
        <Part title={words.yours}>
          <Lines list={own} none={<p>{words.yoursNone}</p>} />
        </Part>
      )}
      <Part title={show === 'closed' ? words.closed : yours ? words.all : words.found}>
        <Lines
          list={all}
          none={
            <Nothing title={words.none} first={{ href: '/deviations/new', word: WORDS.begin.deviation }}>
              <p>{words.noneHelp}</p>
            </Nothing>
          }
        />
      </Part>
      <p className="small">{DEVIATIONS.caution}</p>
    </Page>
  );
}

type Listed = UseInfiniteQueryResult<{ pages: Page[] }>;

function Lines({ list, none }: { list: Listed; none: React.ReactNode }) {
  const items = list.data?.pages.flatMap((page) => page.items) ?? [];
  if (!list.data) return <Waiting error={list.error} onRetry={() => void list.refetch()} />;
  if (items.length === 0) return none;
  return (
    <>
      <ul className="lines">
        {items.map((deviation) => (
          <li key={deviation.id}>
            <DeviationLine deviation={deviation} />
          </li>
        ))}
      </ul>
      {list.hasNextPage && <Button onPress={() => void list.fetchNextPage()}>{words.more}</Button>}
    </>
  );
}

function useDeviations({ show, owner, subject }: Wanted, enabled: boolean): Listed {
  return useInfiniteQuery({
    queryKey: [...DEVIATIONS_KEY, 'list', show, owner, subject],
    enabled,
    queryFn: ({ pageParam }): Promise<Page> =>
      got(
        api.GET('/api/deviations', {
          params: {
            query: {
              state: show === 'closed' ? 'closed' : 'open',
              overdue: show === 'overdue',
              take: 50,
              ...(owner !== undefined && { owner }),
              ...(subject !== undefined && { subject }),
              ...(pageParam !== null && { after: pageParam }),
            },
          },
        }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }: Page) => next,
  });
}
