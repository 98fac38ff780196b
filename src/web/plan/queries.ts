import { useQuery } from '@tanstack/react-query';
import { api, got } from '../api.js';

export const PLAN_KEY = ['plans', 'current'] as const;

/** The plan accepted last, which of its runs have been started included. */
export function useCurrentPlan() {
  return useQuery({ queryKey: PLAN_KEY, queryFn: () => got(api.GET('/api/plans/current')) });
}
