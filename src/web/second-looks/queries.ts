import { useInfiniteQuery } from '@tanstack/react-query';
import { api, got } from '../api.js';

export const LOOK_LISTS = ['in question', 'looked at again', 'closed'] as const;
export type LookList = (typeof LOOK_LISTS)[number];

/** Releases of a list, part by part. The key begins as that of runs, since what changes a run may change these. */
export function useLookedAt(list: LookList) {
  return useInfiniteQuery({
    queryKey: ['runs', 'second-looks', list],
    queryFn: ({ pageParam }) =>
      got(
        api.GET('/api/second-looks/releases', {
          params: { query: { list, take: 20, ...(pageParam !== null && { after: pageParam }) } },
        }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
  });
}

/** Acts that opened second looks, part by part. */
export function useLooks() {
  return useInfiniteQuery({
    queryKey: ['runs', 'second-looks', 'acts'],
    queryFn: ({ pageParam }) =>
      got(
        api.GET('/api/second-looks', {
          params: { query: { take: 20, ...(pageParam !== null && { after: pageParam }) } },
        }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
  });
}
