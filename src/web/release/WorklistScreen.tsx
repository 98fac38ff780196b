import { keepPreviousData, useInfiniteQuery } from '@tanstack/react-query';
import { useDeferredValue } from 'react';
import { Link } from 'react-aria-components';
import { POINT_STANDINGS, type PointStanding } from '../../core/release/standing.js';
import { useText } from '../app/router.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { StoodRun } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { csvOf, Export } from '../parts/Export.js';
import { Finder } from '../parts/Finder.js';
import { shortLabel } from '../parts/format.js';
import { Nothing, Page, Part, Waiting } from '../parts/Page.js';
import { PdfLink, runReportAt } from '../parts/PdfLink.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { WORDS } from '../words.js';
import { ruleTitle } from './FindingList.js';
import './release.css';
import { STANDINGS_KEY } from './run.js';
import { pointCounts, type PointCount, runStanding } from './standing.js';
import { StandingTag } from './Verdicts.js';
import { RELEASE } from './words.js';

/** How many runs are judged at a time. */
const AT_A_TIME = 15;

interface Line {
  run: StoodRun;
  points: PointCount[];
  standing: PointStanding;
}

/** What waits for a signature, what is held, and what left lately. */
export default function WorklistScreen() {
  const [wanted, setWanted] = useText('find');
  const { runs, error, retry, more } = useRuns(useDeferredValue(wanted.trim()));
  const lines = (runs ?? []).map((run): Line => {
    const points = pointCounts(run.subjects);
    return { run, points, standing: runStanding(points) };
  });
  return (
    <Page
      title={RELEASE.title}
      about={<p>{RELEASE.about}</p>}
      ways={
        <Export
          files={[
            { ...csvOf('runs/list.csv', { find: wanted }), name: RELEASE.files.runs },
            { ...csvOf('subjects/list.csv', { find: wanted }), name: RELEASE.files.specimens },
          ]}
        />
      }
    >
      <Finder
        label={RELEASE.find}
        help={RELEASE.findHelp}
        text={wanted}
        onText={setWanted}
        found={runs?.length}
        all={more === null ? undefined : 'more'}
      />
      <ProblemNote problem={runs ? error : null} />
      {!runs && <Waiting error={error} onRetry={retry} />}
      {runs?.length === 0 && wanted.trim() !== '' && <p>{RELEASE.none}</p>}
      {runs?.length === 0 && wanted.trim() === '' && (
        <Nothing title={RELEASE.empty} first={{ href: '/runs/new', word: WORDS.begin.run }}>
          <p>{RELEASE.emptyHelp}</p>
        </Nothing>
      )}
      {POINT_STANDINGS.map((standing) => (
        <Group key={standing} standing={standing} lines={lines.filter((line) => line.standing === standing)} />
      ))}
      {more && (
        <div>
          <Button onPress={more}>{RELEASE.run.older}</Button>
        </div>
      )}
    </Page>
  );
}

function Group({ standing, lines }: { standing: PointStanding; lines: readonly Line[] }) {
  if (lines.length === 0) return null;
  return (
    <Part title={RELEASE.groups[standing]} about={RELEASE.groupHelp[standing]}>
      <ul className="lines">
        {lines.map((line) => (
          <li key={line.run.id}>
            <RunLine line={line} />
          </li>
        ))}
      </ul>
    </Part>
  );
}

/** How many labels a line names. */
const NAMED = 4;

function RunLine({ line: { run, points } }: { line: Line }) {
  const { format } = useSession();
  const { subjects } = run;
  return (
    <div className="waiting">
      <div>
        <Link href={`/release/${run.id}`} className="line-title">
          {run.title}
        </Link>
        <p className="small">
          {RELEASE.run.revision(run.revisionNumber)} · {run.station} · {RELEASE.run.purposes[run.purpose]} ·{' '}
          <span className="figures">{format.dayAndClock(run.startedAt)}</span>
          {run.onBench && ` · ${RELEASE.run.onBench}`}
        </p>
        <PdfLink href={runReportAt(run.id)} about={RELEASE.report.of(run.title, format.dayAndClock(run.startedAt))}>
          {RELEASE.report.open}
        </PdfLink>
      </div>
      <p>
        {subjects.length === 0 && <span className="small">{RELEASE.run.none}</span>}
        {subjects.slice(0, NAMED).map(({ subjectId, label }) => (
          <strong key={subjectId} className="label waiting-subject">
            {shortLabel(label)}
          </strong>
        ))}
        {subjects.length > NAMED && <span className="small">{RELEASE.run.more(subjects.length - NAMED)}</span>}
      </p>
      <ul>
        {points.map(({ point, title, counts, heldBy }) => (
          <li key={point} className="tag-line">
            <span>{title}</span>
            {counts.map(([standing, count]) => (
              <StandingTag key={standing} standing={standing} count={count} counted={counts.length > 1} />
            ))}
            {heldBy.length > 0 && <span className="small">{heldBy.map(ruleTitle).join(', ')}</span>}
          </li>
        ))}
      </ul>
    </div>
  );
}

/** The latest runs, and whatever older ones still stand on a bench. */
function useRuns(find: string): {
  runs: StoodRun[] | undefined;
  error: Error | null;
  retry: () => void;
  /** Fetches the next part; null at the end. */
  more: (() => void) | null;
} {
  const list = useInfiniteQuery({
    queryKey: [...STANDINGS_KEY, 'list', find],
    queryFn: ({ pageParam }) =>
      got(
        api.GET('/api/runs/standings', {
          params: {
            query: { take: AT_A_TIME, ...(find !== '' && { find }), ...(pageParam !== null && { after: pageParam }) },
          },
        }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
    // The list stays while more letters come; this is the library's own name for the answer shown meanwhile.
    placeholderData: keepPreviousData,
  });
  const listed = list.data?.pages.flatMap(({ items }) => items);
  const older = list.data?.pages
    .flatMap((page) => page.older)
    .filter(({ id }) => !listed?.some((run) => run.id === id));
  return {
    runs: listed && older && [...listed, ...older],
    error: list.error,
    retry: () => void list.refetch(),
    more: list.hasNextPage && !list.isFetchingNextPage ? () => void list.fetchNextPage() : null,
  };
}
