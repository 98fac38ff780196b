import { useQueries, useQuery } from '@tanstack/react-query';
import type { RunSummary } from '../api.paths.js';
import { api, got } from '../api.js';
import { useBench } from '../bench/bench.js';
import { RESULTS_KEY } from '../control-results/queries.js';
import { ruleTitle } from '../release/FindingList.js';
import { judgementQuery, releasesQuery } from '../release/run.js';
import { holding, pointStanding } from '../release/standing.js';

/** What is asked of the server: the answer, that it is not known here, or neither yet. */
export interface Asked<Answer> {
  data: Answer | undefined;
  failed: boolean;
}

/** How many of the latest runs are looked through for what is held; those on the benches come on top. */
const LATEST = 30;

export interface HeldRun {
  id: string;
  title: string;
  station: string;
  labels: string[];
  /** Titles of the rules that hold it, each once. */
  why: string[];
}

/** Runs with a specimen or slide whose release point was reached and is held, as the release list finds them. */
export function useHeld(): Asked<HeldRun[]> {
  const bench = useBench();
  const latest = useQuery({
    queryKey: ['runs', 'hand-over'],
    queryFn: () => got(api.GET('/api/runs', { params: { query: { take: LATEST } } })),
  });
  const runs: Pick<RunSummary, 'id' | 'title' | 'station'>[] = [...(latest.data?.items ?? [])];
  for (const { id, view } of bench.runs ?? []) {
    if (!runs.some((run) => run.id === id)) {
      runs.push({ id, title: view.revision.content.title, station: view.station });
    }
  }
  const judgements = useQueries({ queries: runs.map(({ id }) => judgementQuery(id)) });
  const releases = useQueries({ queries: runs.map(({ id }) => releasesQuery(id)) });
  const questions = [latest, ...judgements, ...releases];
  const known = bench.runs !== undefined && questions.every(({ data }) => data !== undefined);
  const held = runs.flatMap(({ id, title, station }, n): HeldRun[] => {
    const subjects = judgements[n]?.data?.subjects ?? [];
    const own = subjects.flatMap(({ subjectId, label, points }) =>
      points
        .filter((point) => pointStanding(point, subjectId, releases[n]?.data ?? []) === 'held')
        .map((point) => ({ label, why: holding(point.findings).map(({ rule }) => ruleTitle(rule)) })),
    );
    if (own.length === 0) return [];
    const labels = [...new Set(own.map(({ label }) => label))];
    return [{ id, title, station, labels, why: [...new Set(own.flatMap(({ why }) => why))] }];
  });
  return { data: known ? held : undefined, failed: questions.some(({ error }) => error !== null) };
}

/** Failed controls that nobody has closed. */
export function useOpenFailures() {
  return useQuery({
    queryKey: [...RESULTS_KEY, 'failures', 'hand-over'],
    queryFn: () => got(api.GET('/api/control-failures', { params: { query: { state: 'open', take: 50 } } })),
  });
}

/** Baths that are due, or soon to be. */
export function useBathsToMind() {
  return useQuery({
    queryKey: ['stock', 'baths'],
    queryFn: () => got(api.GET('/api/baths')),
    select: (baths) =>
      baths.filter(({ changeDue, filterDue, soon, usable }) => changeDue || filterDue || soon || !usable),
  });
}

export const NOTES_KEY = ['hand-over', 'notes'] as const;

/** What was left in writing for whoever takes over, newest first. */
export function useNotes() {
  return useQuery({ queryKey: NOTES_KEY, queryFn: () => got(api.GET('/api/hand-over/notes')) });
}
