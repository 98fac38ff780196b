import { useQuery, type UseQueryResult } from '@tanstack/react-query';
import type { DeviationSubject } from '../../core/deviations/deviation.js';
import { api, got } from '../api.js';
import type { paths } from '../api.paths.js';

type Answer<Path extends keyof paths> = paths[Path] extends {
  get: { responses: { 200: { content: { 'application/json': infer Body } } } };
}
  ? Body
  : never;

export type Deviation = Answer<'/api/deviations'>['items'][number];
export type DeviationStory = Answer<'/api/deviations/{id}'>;
export type DeviationAct = DeviationStory['acts'][number];
export type DeviationAction = DeviationStory['actions'][number];
export type DueItem = Deviation['due'][number];
export type DeviationMatter = Answer<'/api/deviations/subject'>;
export type Trends = Answer<'/api/deviations/trends'>;
export type TrendGroup = Trends['byRule'][number];
export type TrendChart = NonNullable<Trends['perRun']>;
export type Support = Answer<'/api/deviations/support'>;

export const DEVIATIONS_KEY = ['deviations'] as const;

/** What one can be opened from. */
export interface OpenFrom {
  subject: DeviationSubject;
  subjectId?: string;
  findingId?: string;
}

export function useDeviation(id: string): UseQueryResult<DeviationStory> {
  return useQuery({
    queryKey: [...DEVIATIONS_KEY, 'story', id],
    queryFn: () => got(api.GET('/api/deviations/{id}', { params: { path: { id } } })),
  });
}

export function useMatter(from: OpenFrom): UseQueryResult<DeviationMatter> {
  return useQuery({
    queryKey: [...DEVIATIONS_KEY, 'matter', from],
    queryFn: () => got(api.GET('/api/deviations/subject', { params: { query: from } })),
  });
}

/** Who may be given something to do. */
export function useWorkers(): UseQueryResult<{ id: string; name: string }[]> {
  return useQuery({
    queryKey: [...DEVIATIONS_KEY, 'people'],
    queryFn: () => got(api.GET('/api/deviations/people')),
  });
}

export interface TrendPeriod {
  from?: string;
  to?: string;
}

export function useTrends(query: TrendPeriod): UseQueryResult<Trends> {
  return useQuery({
    queryKey: [...DEVIATIONS_KEY, 'trends', query],
    queryFn: () => got(api.GET('/api/deviations/trends', { params: { query } })),
  });
}

export function useSupport(query: TrendPeriod): UseQueryResult<Support> {
  return useQuery({
    queryKey: [...DEVIATIONS_KEY, 'support', query],
    queryFn: () => got(api.GET('/api/deviations/support', { params: { query } })),
  });
}
