import { keepPreviousData, useInfiniteQuery, useQueries } from '@tanstack/react-query';
import { useDeferredValue } from 'react';
import { Link } from 'react-aria-components';
import type { Judgement } from '../../core/gate/judge.js';
import { useText } from '../app/router.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { RunSummary } from '../api.paths.js';
import { useBench } from '../bench/bench.js';
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
import { judgementQuery, releasesQuery } from './run.js';
import { holding, POINT_STANDINGS, pointCounts, type PointCount, type PointStanding, runStanding } from './standing.js';
import { StandingTag } from './Verdicts.js';
import { RELEASE } from './words.js';

/** How many runs are judged at a time. */
const AT_A_TIME = 15;

interface Line {
  run: RunSummary;
  judgement: Judgement;
  points: PointCount[];
  standing: PointStanding;
}

/** What waits for a signature, what is held, and what left lately. */
export default function WorklistScreen() {
  const [wanted, setWanted] = useText('find');
  const { runs, error, retry, more } = useRuns(useDeferredValue(wanted.trim()));
  const judgements = useQueries({ queries: (runs ?? []).map(({ id }) => judgementQuery(id)) });
  const releases = useQueries({ queries: (runs ?? []).map(({ id }) => releasesQuery(id)) });
  const lines = (runs ?? []).flatMap((run, n): Line[] => {
    const [judgement, own] = [judgements[n]?.data, releases[n]?.data];
    if (!judgement || !own) return [];
    const points = pointCounts(judgement, own);
    return [{ run, judgement, points, standing: runStanding(points) }];
  });
  const problem = [...judgements, ...releases].find((each) => each.error)?.error ?? null;
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
      <ProblemNote problem={problem} />
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
      {runs && lines.length < runs.length && !problem && <p className="opening">{RELEASE.run.judging}</p>}
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

function RunLine({ line: { run, judgement, points } }: { line: Line }) {
  const { format } = useSession();
  const { subjects } = judgement;
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
        {points.map(({ point, title, counts }) => (
          <li key={point} className="tag-line">
            <span>{title}</span>
            {counts.map(([standing, count]) => (
              <StandingTag key={standing} standing={standing} count={count} counted={counts.length > 1} />
            ))}
            {counts.some(([standing]) => standing === 'held') && (
              <span className="small">{heldBy(judgement, point).join(', ')}</span>
            )}
          </li>
        ))}
      </ul>
    </div>
  );
}

/** The titles of the rules that hold a point, each once. */
function heldBy({ subjects }: Judgement, point: string): string[] {
  const findings = subjects
    .flatMap(({ points }) => points.filter((each) => each.point === point))
    .flatMap((each) => holding(each.findings));
  return [...new Set(findings.map(({ rule }) => ruleTitle(rule)))];
}

/** The latest runs, and whatever older ones still stand on a bench. */
function useRuns(find: string): {
  runs: RunSummary[] | undefined;
  error: Error | null;
  retry: () => void;
  /** Fetches the next part; null at the end. */
  more: (() => void) | null;
} {
  const bench = useBench();
  const list = useInfiniteQuery({
    queryKey: ['runs', 'list', find],
    queryFn: ({ pageParam }) =>
      got(
        api.GET('/api/runs', {
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
  const older = bench.runs
    ?.filter(({ id }) => !listed?.some((run) => run.id === id))
    .map(({ view: { id, station, purpose, startedAt, revision } }) => ({
      id,
      station,
      purpose,
      startedAt,
      title: revision.content.title,
      revisionNumber: revision.number,
      onBench: true,
    }));
  return {
    // What is looked for is found among all runs, those on the bench included.
    runs: listed && older && (find === '' ? [...listed, ...older] : listed),
    error: list.error ?? bench.error,
    retry: () => {
      void list.refetch();
      bench.refetch();
    },
    more: list.hasNextPage && !list.isFetchingNextPage ? () => void list.fetchNextPage() : null,
  };
}
