import { useQuery, type UseQueryResult } from '@tanstack/react-query';
import type { Limit } from '../../core/lot/lot.js';
import type { Reagent } from '../../core/protocol/protocol.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { Lot } from '../api.paths.js';
import { STOCK } from './words.js';

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

/** A duration in words where it is of one kind only: 'P7D' reads '7 days'; others stay as they are written. */
export function lifeText(life: string): string {
  const [, count, kind] = /^PT?(\d+)([DWMH])$/.exec(life) ?? [];
  // Minutes are written like months.
  if (count === undefined || (kind === 'M' && life.startsWith('PT'))) return life;
  if (life === 'P0D') return STOCK.in.units.sameDay;
  const unit = ({ D: 'days', W: 'weeks', M: 'months', H: 'hours' } as const)[kind as 'D'];
  return `${count} ${Number(count) === 1 ? STOCK.in.units[unit].slice(0, -1) : STOCK.in.units[unit]}`;
}

/** What sets a limit, in words; 'component 2: opened' is that of a component. */
export function causeText(by: Limit['by']): string {
  const [which, cause] = by.split(': ');
  if (which !== undefined && cause !== undefined) return STOCK.component(which, STOCK.causes[cause] ?? cause);
  return STOCK.causes[by] ?? by;
}

/** The limit that ends first; null where nothing limits. */
export function firstLimit(limits: readonly Limit[]): Limit | null {
  return limits.reduce<Limit | null>((first, limit) => (first && first.until <= limit.until ? first : limit), null);
}
