import { useQuery } from '@tanstack/react-query';
import type { StoodRun } from '../api.paths.js';
import { api, got } from '../api.js';
import { RESULTS_KEY } from '../control-results/queries.js';
import { ruleTitle } from '../release/FindingList.js';
import { STANDINGS_KEY } from '../release/run.js';

/** What is asked of the server: the answer, that it is not known here, or neither yet. */
export interface Asked<Answer> {
  data: Answer | undefined;
  failed: boolean;
}

/** How many of the latest runs are looked through for what is held; older ones on the benches come with them. */
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
  const { data, error } = useQuery({
    queryKey: [...STANDINGS_KEY, 'hand-over'],
    queryFn: () => got(api.GET('/api/runs/standings', { params: { query: { take: LATEST } } })),
    select: ({ items, older }) => [...items, ...older].flatMap(heldOf),
  });
  return { data, failed: error !== null };
}

function heldOf({ id, title, station, subjects }: StoodRun): HeldRun[] {
  const held = subjects.flatMap(({ label, points }) =>
    points.filter(({ standing }) => standing === 'held').map(({ heldBy }) => ({ label, heldBy })),
  );
  if (held.length === 0) return [];
  const labels = [...new Set(held.map(({ label }) => label))];
  return [{ id, title, station, labels, why: [...new Set(held.flatMap(({ heldBy }) => heldBy))].map(ruleTitle) }];
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
