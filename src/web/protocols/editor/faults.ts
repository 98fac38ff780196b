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
  // What stands until the next answer is the last one; the name that it goes by here is the library's own.
  const { data, isPlaceholderData, error } = useQuery({
    queryKey: ['protocol-check', rested],
    queryFn: () => got(api.POST('/api/protocols/checks', { body: { content: { ...named(rested) } } })),
    // The library's name for it.
    placeholderData: keepPreviousData,
    gcTime: 0,
  });
  // Not while an earlier answer stands in, which is what the library's name means.
  const checked = rested === draft && data !== undefined && !isPlaceholderData;
  return { faults: data?.problems ?? [], checked, failed: error };
}

/** What is wrong with the draft around a field. */
export const Faults = createContext<readonly Fault[]>([]);

/** What is wrong at a place, or within it where the place is a group that is not there at all. */
export function useFault(path: readonly (string | number)[]): string | undefined {
  const faults = use(Faults);
  return faults.find((fault) => fault.path.join('/') === path.join('/'))?.message;
}
