import { useQuery } from '@tanstack/react-query';
import type { PlannedStart } from '../../core/run/planned.js';
import { api, got } from '../api.js';
import type { AcceptedPlan } from '../api.paths.js';

export const PLAN_KEY = ['plans', 'current'] as const;

/** The plan accepted last, which of its runs have been started included. */
export function useCurrentPlan() {
  return useQuery({ queryKey: PLAN_KEY, queryFn: () => got(api.GET('/api/plans/current')) });
}

/** What a plan says of a run that was on the bench when it was made or has been started for it since; null when nothing. */
export function planOf({ runs, waiting }: AcceptedPlan, runId: string): readonly PlannedStart[] | null {
  const id = waiting.find(({ startedRunId }) => startedRunId === runId)?.id ?? runId;
  return runs.find((run) => run.id === id)?.moments ?? null;
}
