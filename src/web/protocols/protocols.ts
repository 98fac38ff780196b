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

/** The revisions in force, each by the title of its protocol, for choosing one. */
export function stainsInForce(protocols: readonly ProtocolLine[]): { id: string; name: string }[] {
  return protocols
    .flatMap(({ title, revisions }) =>
      revisions.filter(({ inForce }) => inForce).map(({ id }) => ({ id, name: title })),
    )
    .sort((a, b) => a.name.localeCompare(b.name));
}

/** UCUM writes degrees Celsius as Cel; people do not. */
const DEGREES: Record<string, string> = { Cel: '°C', '[degF]': '°F' };

export function degreesText(unit: string): string {
  return DEGREES[unit] ?? unit;
}
