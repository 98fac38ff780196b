import { useQuery, type UseQueryResult } from '@tanstack/react-query';
import { api, got } from '../api.js';
import type { ControlTasks, DaysWithout, LaboratoryCalendar, Plan, PlanSummary } from '../api.paths.js';

/** First part of the keys under which all of this is kept. */
export const CONTROLS_KEY = 'controls';

/** What time alone makes due is asked for again after so long. */
const AGAIN_MS = 60_000;

export function useTasks(): UseQueryResult<ControlTasks> {
  return useQuery({
    queryKey: [CONTROLS_KEY, 'tasks'],
    queryFn: () => got(api.GET('/api/control-tasks')),
    refetchInterval: AGAIN_MS,
  });
}

export function usePlans(): UseQueryResult<PlanSummary[]> {
  return useQuery({ queryKey: [CONTROLS_KEY, 'plans'], queryFn: () => got(api.GET('/api/control-plans')) });
}

export function planQuery(protocol: string) {
  return {
    queryKey: [CONTROLS_KEY, 'plans', protocol],
    queryFn: (): Promise<Plan> => got(api.GET('/api/control-plans/{protocol}', { params: { path: { protocol } } })),
  };
}

export function usePlan(protocol: string): UseQueryResult<Plan> {
  return useQuery(planQuery(protocol));
}

export function useDaysWithout(from: string, to: string): UseQueryResult<DaysWithout> {
  return useQuery({
    queryKey: [CONTROLS_KEY, 'days', from, to],
    queryFn: () => got(api.GET('/api/control-days-without', { params: { query: { from, to } } })),
    enabled: from !== '' && to !== '',
  });
}

export function useCalendar(): UseQueryResult<LaboratoryCalendar> {
  return useQuery({
    queryKey: [CONTROLS_KEY, 'calendar'],
    queryFn: () => got(api.GET('/api/laboratory-calendar')),
  });
}
