import { useQuery, type UseQueryResult } from '@tanstack/react-query';
import { api, got } from '../api.js';
import type { KnownRecipe, Preparation, RecipeSummary } from '../api.paths.js';

export function useRecipes(): UseQueryResult<RecipeSummary[]> {
  return useQuery({ queryKey: ['stock', 'recipes'], queryFn: () => got(api.GET('/api/recipes')) });
}

export function useRecipe(code: string): UseQueryResult<KnownRecipe> {
  return useQuery({
    queryKey: ['stock', 'recipes', code],
    queryFn: () => got(api.GET('/api/recipes/{code}', { params: { path: { code } } })),
  });
}

/** What to weigh for a volume, and from which containers; asked anew whenever stock changes. */
export function useWorksheet(code: string, volume: { value: number; unit: string } | null, usedAtCel: number | null) {
  return useQuery({
    queryKey: ['stock', 'worksheet', code, volume, usedAtCel],
    queryFn: () => {
      if (volume === null) throw new Error('a worksheet is asked for a volume');
      const body = { volume, ...(usedAtCel !== null && { usedAtCel }) };
      return got(api.POST('/api/recipes/{code}/worksheet', { params: { path: { code } }, body }));
    },
    enabled: volume !== null,
    placeholderData: (before) => before,
  });
}

export function usePreparation(lot: string): UseQueryResult<Preparation> {
  return useQuery({
    queryKey: ['stock', 'preparation', lot],
    queryFn: () => got(api.GET('/api/preparations/{lot}', { params: { path: { lot } } })),
  });
}
