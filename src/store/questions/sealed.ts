import { In } from 'typeorm';
import { SealedRow } from '../rows/record.entity.js';
import type { View } from '../view.js';

/** Sealed values by their ids; those that were removed by law are left out. */
export async function sealedValues(view: View, ids: readonly string[]): Promise<Map<string, string>> {
  if (ids.length === 0) return new Map();
  const rows = await view.all(SealedRow, { id: In([...ids]) });
  return new Map(rows.flatMap(({ id, value }): [string, string][] => (value === null ? [] : [[id, value]])));
}
