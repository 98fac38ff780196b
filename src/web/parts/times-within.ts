import { useQueryClient } from '@tanstack/react-query';
import { timeFormat } from './format.js';
import { LOCALE } from './locale.js';

/** How texts are told with their instants by the laboratory's clock; as they are while nobody is signed in. */
export function useTimesWithin(): (text: string) => string {
  const queries = useQueryClient();
  return (text) => {
    const session = queries.getQueryData<{ laboratory: { zone: string } } | null>(['session']);
    return session ? timeFormat(session.laboratory.zone, LOCALE).within(text) : text;
  };
}
