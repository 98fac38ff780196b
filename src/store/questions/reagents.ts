import { In, LessThanOrEqual } from 'typeorm';
import type { Reagent } from '../../core/protocol/protocol.js';
import { ReagentRow } from '../rows/stock.entity.js';
import type { View } from '../view.js';

/** The catalogue's entries of these codes as they stood at a record number, in the order of their codes. */
export async function reagentsOf(view: View, codes: readonly string[], upToSeq?: number): Promise<Reagent[]> {
  const rows = await view.all(
    ReagentRow,
    { code: In([...codes]), ...(upToSeq === undefined ? {} : { seq: LessThanOrEqual(upToSeq) }) },
    { order: { code: 'ASC', seq: 'ASC' } },
  );
  return [...new Map(rows.map(({ code, content }) => [code, content])).values()];
}

/** The whole catalogue as it stands now, in the order of its codes. */
export async function catalogue(view: View): Promise<Reagent[]> {
  const rows = await view.all(ReagentRow, {}, { order: { code: 'ASC', seq: 'ASC' } });
  return [...new Map(rows.map(({ code, content }) => [code, content])).values()];
}
