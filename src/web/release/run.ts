import { useQuery, type UseQueryResult } from '@tanstack/react-query';
import type { Judgement } from '../../core/gate/judge.js';
import type { RunView } from '../../core/run/view.js';
import { api, got } from '../api.js';
import type { Release } from '../api.paths.js';

export function useRun(id: string): UseQueryResult<RunView> {
  return useQuery({
    queryKey: ['runs', id],
    queryFn: () => got(api.GET('/api/runs/{id}', { params: { path: { id } } })),
  });
}

export function judgementQuery(id: string) {
  return {
    queryKey: ['runs', id, 'judgement'],
    queryFn: (): Promise<Judgement> => got(api.GET('/api/runs/{id}/judgement', { params: { path: { id } } })),
  };
}

/** Releases of one run, or the latest of all; newest first. */
export function useReleases(run?: string): UseQueryResult<Release[]> {
  return useQuery({
    queryKey: ['runs', 'releases', run ?? 'all'],
    queryFn: () => got(api.GET('/api/releases', { params: { query: run === undefined ? {} : { run } } })),
  });
}
