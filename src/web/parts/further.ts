import { useEffect } from 'react';

/** The part of an endless query that fetching needs. */
interface Endless {
  hasNextPage: boolean;
  isFetchingNextPage: boolean;
  isError: boolean;
  fetchNextPage: () => Promise<unknown>;
}

/** Fetches a list to its end while something is looked for that may stand on a part that was not fetched yet. */
export function useFurther(
  { hasNextPage, isFetchingNextPage, isError, fetchNextPage }: Endless,
  wanted: boolean,
): void {
  const further = wanted && hasNextPage && !isFetchingNextPage && !isError;
  useEffect(() => {
    if (further) void fetchNextPage();
  }, [further, fetchNextPage]);
}
