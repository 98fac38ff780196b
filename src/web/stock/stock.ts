import { useQuery, type UseQueryResult } from '@tanstack/react-query';
import type { Limit } from '../../core/lot/lot.js';
import type { Reagent } from '../../core/protocol/protocol.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { Lot } from '../api.paths.js';

export function useLot(id: string): UseQueryResult<Lot> {
  return useQuery({
    queryKey: ['stock', 'lot', id],
    queryFn: () => got(api.GET('/api/lots/{id}', { params: { path: { id } } })),
  });
}

export function useReagents(): UseQueryResult<Reagent[]> {
  return useQuery({
    queryKey: ['stock', 'reagents'],
    queryFn: () => got(api.GET('/api/reagents')),
    staleTime: 600_000,
  });
}

/** Names of people, for those whose role shows them. */
export function usePeopleNames(): (id: string | null) => string {
  const { may, person } = useSession();
  const { data } = useQuery({
    queryKey: ['people'],
    queryFn: () => got(api.GET('/api/people')),
    enabled: may('administrator', 'director', 'manager', 'reviewer'),
  });
  return (id) => {
    if (id === person.id) return person.name;
    return data?.find((each) => each.id === id)?.name ?? '';
  };
}

/** The limit that ends first; null where nothing limits. */
export function firstLimit(limits: readonly Limit[]): Limit | null {
  return limits.reduce<Limit | null>((first, limit) => (first && first.until <= limit.until ? first : limit), null);
}
