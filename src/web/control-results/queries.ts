import { useQuery, type UseQueryResult } from '@tanstack/react-query';
import { api, got } from '../api.js';
import type { paths } from '../api.paths.js';

type Answer<Path extends keyof paths> = paths[Path] extends {
  get: { responses: { 200: { content: { 'application/json': infer Body } } } };
}
  ? Body
  : never;

export type ControlResult = Answer<'/api/control-results'>['items'][number];
export type LotResults = Answer<'/api/control-results/by-lot'>['items'][number];
export type Failure = Answer<'/api/control-failures'>['items'][number];
export type FailureStory = Answer<'/api/control-failures/{id}'>;
export type Series = Answer<'/api/control-series'>['items'][number];
export type Evaluation = Answer<'/api/control-series/{id}/evaluation'>;

export const RESULTS_KEY = ['control-result'] as const;
export const SERIES_KEY = ['control-series'] as const;

interface ResultFilter {
  protocol?: string;
  run?: string;
  from?: string;
  to?: string;
}

export function useResults(query: ResultFilter, enabled = true): UseQueryResult<{ items: ControlResult[] }> {
  return useQuery({
    queryKey: [...RESULTS_KEY, 'list', query],
    enabled,
    queryFn: () => got(api.GET('/api/control-results', { params: { query } })),
  });
}

export function useLotResults(query: ResultFilter, enabled: boolean): UseQueryResult<{ items: LotResults[] }> {
  return useQuery({
    queryKey: [...RESULTS_KEY, 'by-lot', query],
    enabled,
    queryFn: () => got(api.GET('/api/control-results/by-lot', { params: { query } })),
  });
}

export function useFailure(id: string): UseQueryResult<FailureStory> {
  return useQuery({
    queryKey: [...RESULTS_KEY, 'failure', id],
    queryFn: () => got(api.GET('/api/control-failures/{id}', { params: { path: { id } } })),
  });
}

export function useSeriesList(): UseQueryResult<{ items: Series[] }> {
  return useQuery({ queryKey: [...SERIES_KEY, 'list'], queryFn: () => got(api.GET('/api/control-series')) });
}

export function useEvaluation(id: string, query: { from?: string; to?: string }): UseQueryResult<Evaluation> {
  return useQuery({
    queryKey: [...SERIES_KEY, id, query],
    queryFn: () => got(api.GET('/api/control-series/{id}/evaluation', { params: { path: { id }, query } })),
  });
}
