import { keepPreviousData, useQuery } from '@tanstack/react-query';
import { createContext, use, useEffect, useState } from 'react';
import { api, got } from '../../api.js';
import { named, type Draft } from './draft.js';

/** One thing that is wrong: where, in the order of the draft, and what would be right. */
export interface Fault {
  path: (string | number)[];
  message: string;
}

const REST_MS = 500;

/** What the server says is wrong with a draft, asked once its writer rests; the last answer stays until the next is there. */
export function useFaults(draft: Draft): { faults: readonly Fault[]; checked: boolean; failed: Error | null } {
  const [rested, setRested] = useState(draft);
  useEffect(() => {
    const timer = setTimeout(() => setRested(draft), REST_MS);
    return () => clearTimeout(timer);
  }, [draft]);
  // Until the next answer is there the last one stands, under the name that the library has for that.
  const { data, isPlaceholderData, error } = useQuery({
    queryKey: ['protocol-check', rested],
    queryFn: () => got(api.POST('/api/protocols/checks', { body: { content: { ...named(rested) } } })),
    placeholderData: keepPreviousData,
    gcTime: 0,
  });
  const checked = rested === draft && data !== undefined && !isPlaceholderData;
  return { faults: data?.problems ?? [], checked, failed: error };
}

/** How many of them lie in one item of a list. */
export function faultsIn(faults: readonly Fault[], list: string, index: number): number {
  return faults.filter(({ path }) => path[0] === list && path[1] === index).length;
}

/** What is wrong with the draft around a field. */
export const Faults = createContext<readonly Fault[]>([]);

/** What is wrong at a place; `within` also what is wrong with an item of the list that stands there. */
export function useFault(place: readonly (string | number)[], within = false): string | undefined {
  const faults = use(Faults);
  return faults.find(({ path }) => (within || path.length === place.length) && place.every((key, n) => path[n] === key))
    ?.message;
}
