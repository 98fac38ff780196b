import { useQuery, type UseQueryResult } from '@tanstack/react-query';
import { api, got } from '../api.js';
import type { paths } from '../api.paths.js';
import { isMonth } from './months.js';

/** A month as the API tells it. */
export type Answer = paths['/api/reports/month/{month}']['get']['responses'][200]['content']['application/json'];

export function useMonth(month: string): UseQueryResult<Answer> {
  return useQuery({
    queryKey: ['month', month],
    enabled: isMonth(month),
    queryFn: () => got(api.GET('/api/reports/month/{month}', { params: { path: { month } } })),
  });
}
