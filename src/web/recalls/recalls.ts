import { useInfiniteQuery, useQuery, type UseQueryResult } from '@tanstack/react-query';
import { api, got } from '../api.js';
import type { Lookback, RecallView, TracedRun } from '../api.paths.js';

const PAGE = 50;

export function useRecall(id: string): UseQueryResult<RecallView> {
  return useQuery({
    queryKey: ['stock', 'recall', id],
    queryFn: () => got(api.GET('/api/recalls/{id}', { params: { path: { id } } })),
  });
}

export function useLookback(id: string): UseQueryResult<Lookback> {
  return useQuery({
    queryKey: ['lookbacks', id],
    queryFn: () => got(api.GET('/api/lookbacks/{id}', { params: { path: { id } } })),
  });
}

/** The runs that a lot or a recall reaches, part by part. */
export function useReachedRuns(of: 'lot' | 'recall', id: string) {
  const runs = useInfiniteQuery({
    queryKey: ['stock', 'reached', of, id],
    queryFn: ({ pageParam }) => {
      const params = { path: { id }, query: { take: PAGE, ...(pageParam !== null && { after: pageParam }) } };
      return got(
        of === 'lot' ? api.GET('/api/trace/lot/{id}/runs', { params }) : api.GET('/api/recalls/{id}/runs', { params }),
      );
    },
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
  });
  const items: TracedRun[] | undefined = runs.data?.pages.flatMap((page) => page.items);
  return { ...runs, items };
}
