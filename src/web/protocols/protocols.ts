import { useQuery, type UseQueryResult } from '@tanstack/react-query';
import { api, got } from '../api.js';
import type { ProtocolLine, Revision } from '../api.paths.js';

export function useProtocols(): UseQueryResult<ProtocolLine[]> {
  return useQuery({ queryKey: ['protocols'], queryFn: () => got(api.GET('/api/protocols')) });
}

export function useRevision(id: string): UseQueryResult<Revision> {
  return useQuery({
    queryKey: ['protocols', 'revision', id],
    queryFn: () => got(api.GET('/api/revisions/{id}', { params: { path: { id } } })),
  });
}
