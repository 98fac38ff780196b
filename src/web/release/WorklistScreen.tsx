import { useQueries } from '@tanstack/react-query';
import { Link } from 'react-aria-components';
import type { RunView } from '../../core/run/view.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { Release } from '../api.paths.js';
import { useBench } from '../bench/bench.js';
import { Nothing, Page, Part, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import './release.css';
import { judgementQuery, useReleases } from './run.js';
import { POINT_STANDINGS, pointCounts, type PointCount, type PointStanding, runStanding } from './standing.js';
import { StandingTag } from './Verdicts.js';
import { RELEASE } from './words.js';

/** Runs that have left the bench and are still shown, counted from the last release. */
const RECENT = 20;

interface Line {
  run: RunView;
  /** Null while the gate has not answered. */
  points: PointCount[] | null;
  standing: PointStanding | null;
}

/** What waits for a signature, what is held, and what left lately. */
export default function WorklistScreen() {
  const bench = useBench();
  const releases = useReleases();
  const recent = useRecentRuns(bench.runs?.map(({ id }) => id) ?? [], releases.data ?? []);
  const runs = [...(bench.runs ?? []).map(({ view }) => view), ...recent];
  const judgements = useQueries({ queries: runs.map(({ id }) => judgementQuery(id)) });
  if (!bench.runs || !releases.data) {
    return (
      <Page title={RELEASE.title} about={RELEASE.about}>
        <Waiting
          error={bench.error ?? releases.error}
          onRetry={() => {
            bench.refetch();
            void releases.refetch();
          }}
        />
      </Page>
    );
  }
  const lines = runs.map((run, n): Line => {
    const judgement = judgements[n]?.data;
    const own = releases.data.filter(({ runId }) => runId === run.id);
    const points = judgement ? pointCounts(judgement, own) : null;
    return { run, points, standing: points && runStanding(points) };
  });
  return (
    <Page title={RELEASE.title} about={RELEASE.about}>
      <ProblemNote problem={judgements.find(({ error }) => error)?.error ?? null} />
      {lines.length === 0 && (
        <Nothing title={RELEASE.empty}>
          <p>{RELEASE.emptyHelp}</p>
          <p>
            <Link href="/">{RELEASE.toBench}</Link>
          </p>
        </Nothing>
      )}
      {POINT_STANDINGS.map((standing) => (
        <Group key={standing} standing={standing} lines={lines.filter((line) => line.standing === standing)} />
      ))}
      {lines.some(({ standing }) => standing === null) && <p className="opening">{RELEASE.run.judging}</p>}
    </Page>
  );
}

function Group({ standing, lines }: { standing: PointStanding; lines: readonly Line[] }) {
  if (lines.length === 0) return null;
  return (
    <Part title={RELEASE.groups[standing]} about={RELEASE.groupHelp[standing]}>
      <ul className="waiting">
        {lines.map(({ run, points }) => (
          <li key={run.id}>
            <RunLine run={run} points={points ?? []} />
          </li>
        ))}
      </ul>
    </Part>
  );
}

/** How many labels a line names. */
const NAMED = 3;

function RunLine({ run, points }: { run: RunView; points: readonly PointCount[] }) {
  const { format } = useSession();
  const patients = run.subjects.filter(({ role }) => role === 'patient');
  return (
    <Link href={`/release/${run.id}`} className="waiting-run">
      <span className="waiting-what">
        <span className="waiting-title">{run.revision.content.title}</span>
        <span className="small">
          {RELEASE.run.revision(run.revision.number)} · {run.station} · {RELEASE.run.purposes[run.purpose]} ·{' '}
          <span className="figures">{format.dayAndClock(run.startedAt)}</span>
        </span>
      </span>
      <span>
        {patients.length === 0 && <span className="small">{RELEASE.run.none}</span>}
        {patients.slice(0, NAMED).map(({ subjectId, label, description }) => (
          <span key={subjectId} className="waiting-subject">
            <strong className="label">{label}</strong> {description}
          </span>
        ))}
        {patients.length > NAMED && <span className="small">{RELEASE.run.more(patients.length - NAMED)}</span>}
      </span>
      <span>
        {points.map(({ point, title, counts }) => (
          <span key={point} className="waiting-point">
            {title}:{' '}
            {counts.map(([standing, count]) => (
              <StandingTag key={standing} standing={standing} count={count} />
            ))}
          </span>
        ))}
      </span>
    </Link>
  );
}

/** Runs with a release that stand on no bench any more, the last released first. */
function useRecentRuns(onBench: readonly string[], releases: readonly Release[]): RunView[] {
  const ids = [...new Set(releases.map(({ runId }) => runId))].filter((id) => !onBench.includes(id)).slice(0, RECENT);
  const found = useQueries({
    queries: ids.map((id) => ({
      queryKey: ['runs', id],
      queryFn: () => got(api.GET('/api/runs/{id}', { params: { path: { id } } })),
    })),
  });
  return found.flatMap(({ data }) => data ?? []);
}
