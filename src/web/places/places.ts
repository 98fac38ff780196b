import { useQuery, type UseQueryResult } from '@tanstack/react-query';
import { api, got, once } from '../api.js';
import type { LeavingList, PlaceDetail, PlaceName, Places, StoragePlace, TemperatureImport } from '../api.paths.js';
import { PLACES_WORDS as words } from './words.js';

export function usePlaces(): UseQueryResult<Places> {
  return useQuery({ queryKey: ['stock', 'places'], queryFn: () => got(api.GET('/api/places')) });
}

/** What places are called: all that a reviewer needs to know of them. */
export function usePlaceNames(): UseQueryResult<PlaceName[]> {
  return useQuery({ queryKey: ['stock', 'place-names'], queryFn: () => got(api.GET('/api/place-names')) });
}

export function usePlace(code: string): UseQueryResult<PlaceDetail> {
  return useQuery({
    queryKey: ['stock', 'place', code],
    queryFn: () => got(api.GET('/api/places/{code}', { params: { path: { code } } })),
  });
}

export function useLeaving(): UseQueryResult<LeavingList> {
  return useQuery({ queryKey: ['stock', 'leaving'], queryFn: () => got(api.GET('/api/stock/leaving')) });
}

/** What of all excursions and holds concerns one place: those that happened there, and the holds of what lies there. */
export function concerning(all: Places, { code, lying }: PlaceDetail): Places {
  const excursions = all.excursions.filter(({ place }) => place === code);
  return {
    ...all,
    excursions,
    holds: all.holds.filter(({ causeId, containerId }) =>
      causeId === null ? lying.some(({ id }) => id === containerId) : excursions.some(({ id }) => id === causeId),
    ),
  };
}

export function limitsText({ min, max }: Pick<StoragePlace, 'min' | 'max'>): string {
  if (min !== null && max !== null) return words.between(min, max);
  if (min !== null) return words.from(min);
  return max === null ? words.noLimits : words.upTo(max);
}

/** Sends a logger's file as the body itself. */
export function sendTemperatures(
  code: string,
  { file, dryRun, key }: { file: File; dryRun: boolean; key?: string },
): Promise<TemperatureImport> {
  return got(
    api.POST('/api/places/{code}/temperatures/import', {
      params: { path: { code }, query: { dryRun: dryRun ? 'true' : 'false' } },
      headers: { 'content-type': 'text/csv', ...(key !== undefined && once(key).headers) },
      // The file itself is the body; it is no JSON.
      body: file as never,
      bodySerializer: (body: unknown) => body as File,
    }),
  );
}
