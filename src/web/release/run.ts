import { useQuery, type UseQueryResult } from '@tanstack/react-query';
import type { Judgement } from '../../core/gate/judge.js';
import type { RunView } from '../../core/run/view.js';
import { api, got } from '../api.js';
import type { Release } from '../api.paths.js';

export function runQuery(id: string) {
  return {
    queryKey: ['runs', id],
    queryFn: (): Promise<RunView> => got(api.GET('/api/runs/{id}', { params: { path: { id } } })),
  };
}

export function useRun(id: string): UseQueryResult<RunView> {
  return useQuery(runQuery(id));
}

/** Where runs stand; under the key of runs, since whatever happens to one may change it. */
export const STANDINGS_KEY = ['runs', 'standings'] as const;

export function judgementQuery(id: string) {
  return {
    queryKey: ['runs', id, 'judgement'],
    queryFn: (): Promise<Judgement> => got(api.GET('/api/runs/{id}/judgement', { params: { path: { id } } })),
  };
}

/** What left of a run, newest first. */
export function releasesQuery(run: string) {
  return {
    queryKey: ['runs', run, 'releases'],
    queryFn: (): Promise<Release[]> => got(api.GET('/api/releases', { params: { query: { run } } })),
  };
}
