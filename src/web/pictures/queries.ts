import { useQuery, type UseQueryResult } from '@tanstack/react-query';
import { api, got } from '../api.js';
import type { RunPictures } from '../api.paths.js';

/** Pictures of what a run stained, and of controls of its stain and day. */
export function useRunPictures(runId: string): UseQueryResult<RunPictures> {
  return useQuery({
    queryKey: ['runs', runId, 'pictures'],
    queryFn: () => got(api.GET('/api/runs/{id}/pictures', { params: { path: { id: runId } } })),
  });
}
