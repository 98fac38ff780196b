import { queryOptions } from '@tanstack/react-query';
import { api, got } from '../api.js';

/** Messages on one page. */
const TAKE = 100;

export const endpointsQuery = queryOptions({
  queryKey: ['connections', 'endpoints'],
  queryFn: () => got(api.GET('/api/webhooks')),
});

export const deliveriesQuery = queryOptions({
  queryKey: ['connections', 'deliveries'],
  queryFn: () => got(api.GET('/api/webhooks/deliveries', { params: { query: { take: TAKE } } })),
  // A message is tried without anybody acting, so no change here tells of it.
  refetchInterval: ({ state }) => (state.data?.items.some((each) => each.state === 'waiting') ? 2_000 : false),
});
