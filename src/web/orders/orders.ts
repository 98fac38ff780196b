import { useQuery, useQueryClient, type UseQueryResult } from '@tanstack/react-query';
import { api, got } from '../api.js';
import type { Buying, Order, OutlookList, Product, Reorder, StockPolicy, Supplier } from '../api.paths.js';

export function useOutlook(): UseQueryResult<OutlookList> {
  return useQuery({ queryKey: ['stock', 'outlook'], queryFn: () => got(api.GET('/api/outlook')) });
}

export function useReorder(): UseQueryResult<Reorder> {
  return useQuery({ queryKey: ['stock', 'reorder'], queryFn: () => got(api.GET('/api/reorder')) });
}

export function useOrder(id: string): UseQueryResult<Order> {
  return useQuery({
    queryKey: ['stock', 'order', id],
    queryFn: () => got(api.GET('/api/orders/{id}', { params: { path: { id } } })),
  });
}

export function useSuppliers(): UseQueryResult<Supplier[]> {
  return useQuery({ queryKey: ['stock', 'suppliers'], queryFn: () => got(api.GET('/api/suppliers')) });
}

export function useProducts(): UseQueryResult<Product[]> {
  return useQuery({ queryKey: ['stock', 'products'], queryFn: () => got(api.GET('/api/products')) });
}

export function useBuying(): UseQueryResult<Buying> {
  return useQuery({ queryKey: ['stock', 'buying'], queryFn: () => got(api.GET('/api/buying')) });
}

export function useStockPolicies(): UseQueryResult<StockPolicy[]> {
  return useQuery({ queryKey: ['stock', 'policies'], queryFn: () => got(api.GET('/api/stock-policies')) });
}

/** Everything about stock is looked at anew after a change. */
export function useStockChanged(): () => Promise<void> {
  const queries = useQueryClient();
  return () => queries.invalidateQueries({ queryKey: ['stock'] });
}
