import { queryOptions, useInfiniteQuery, useQueries, useQuery } from '@tanstack/react-query';
import { api, got } from '../api.js';
import type { components } from '../api.gen.js';
import { unitText } from '../parts/format.js';
import { LOCALE } from '../parts/locale.js';
import { LEDGER_WORDS as words } from './words.js';

type Said = components['schemas'];
export type OnHand = Said['OnHandDto'];
export type OnHandContainer = Said['OnHandContainerDto'];
export type Movement = Said['MovementDto'];
export type Count = Said['CountDto'];
export type OpenCount = Said['OpenCountDto'];
export type Imported = Said['ImportedDto'];
type Quantity = Said['QuantityDto'];

/** An amount as people read it: '12.5 mL', '3 pieces'. */
export function amountText({ value, unit }: Quantity): string {
  const number = value.toLocaleString(LOCALE, { maximumFractionDigits: 3 });
  if (unit === '{piece}') return `${number} ${Math.abs(value) === 1 ? words.pieces.one : words.pieces.many}`;
  return `${number} ${unitText(unit)}`;
}

/** With its sign, for what moved. */
export function changeText({ value, unit }: Quantity): string {
  const sign = value === 0 ? '' : value < 0 ? '\u2212' : '+';
  return `${sign}${amountText({ value: Math.abs(value), unit })}`;
}

export function useShelf() {
  return useInfiniteQuery({
    queryKey: ['stock', 'on-hand'],
    queryFn: ({ pageParam }) =>
      got(
        api.GET('/api/stock/on-hand', {
          params: { query: { take: 100, ...(pageParam !== null && { after: pageParam }) } },
        }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
  });
}

/** What stands here of one reagent, or in one place; asked only when one is named. */
export function useOnHandOf(choice: { reagent?: string; place?: string }) {
  return useQuery({
    queryKey: ['stock', 'on-hand', choice],
    queryFn: () => got(api.GET('/api/stock/on-hand', { params: { query: { take: 200, ...choice } } })),
    enabled: choice.reagent !== undefined || choice.place !== undefined,
  });
}

export interface LedgerChoice {
  reagent?: string;
  container?: string;
  kind?: Movement['kind'];
  from?: string;
  to?: string;
}

/** Movements that are fetched at a time. */
const MOVEMENTS_A_PART = 100;

/** One part of the ledger, wherever it lies. */
function partOf(choice: LedgerChoice, part: number) {
  return queryOptions({
    queryKey: ['stock', 'ledger', choice, part],
    queryFn: () =>
      got(
        api.GET('/api/ledger', {
          params: { query: { take: MOVEMENTS_A_PART, skip: part * MOVEMENTS_A_PART, ...choice } },
        }),
      ),
  });
}

/** How many movements fit, and those from one line to another as they come; undefined while a line is on its way. */
export function useMovements(choice: LedgerChoice, from: number, to: number) {
  const head = useQuery(partOf(choice, 0));
  const [first, last] = [from, to].map((line) => Math.floor(line / MOVEMENTS_A_PART)) as [number, number];
  const numbers = Array.from({ length: last - first + 1 }, (_, n) => first + n);
  const parts = useQueries({ queries: numbers.map((part) => partOf(choice, part)) });
  return {
    head,
    problem: parts.find(({ error }) => error !== null)?.error ?? null,
    at: (line: number): Movement | undefined => {
      const part = parts[Math.floor(line / MOVEMENTS_A_PART) - first];
      return part?.data?.items[line % MOVEMENTS_A_PART];
    },
  };
}

export function useOpenCounts() {
  return useQuery({
    queryKey: ['stock', 'counts', 'open'],
    queryFn: () => got(api.GET('/api/stock/counts/open')),
  });
}

export function useCounts(onlyVariances: boolean) {
  return useInfiniteQuery({
    queryKey: ['stock', 'counts', { onlyVariances }],
    queryFn: ({ pageParam }) =>
      got(
        api.GET('/api/stock/counts', {
          params: {
            query: {
              take: 50,
              ...(onlyVariances && { onlyVariances: 'true' }),
              ...(pageParam !== null && { after: pageParam }),
            },
          },
        }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
  });
}

export function useWaste(from: string, to: string) {
  return useQuery({
    queryKey: ['stock', 'waste', from, to],
    queryFn: () => got(api.GET('/api/stock/waste', { params: { query: { from, to } } })),
  });
}
