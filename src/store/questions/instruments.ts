import { In, LessThanOrEqual } from 'typeorm';
import type { InstrumentFacts } from '../../core/instruments/instrument.js';
import { InstrumentActRow, InstrumentRow } from '../rows/instruments.entity.js';
import { ALL_KNOWN } from './containers.js';
import type { View } from '../view.js';

export interface KnownInstrument extends InstrumentFacts {
  row: InstrumentRow;
  acts: InstrumentActRow[];
}

/** All instruments with their acts, in the order of their codes, up to a record number. */
export async function knownInstruments(view: View, upToSeq = ALL_KNOWN): Promise<KnownInstrument[]> {
  const seq = LessThanOrEqual(upToSeq);
  const rows = await view.all(InstrumentRow, { seq }, { order: { code: 'ASC' } });
  const acts = await view.all(
    InstrumentActRow,
    { instrumentId: In(rows.map(({ id }) => id)), seq },
    { order: { seq: 'ASC', id: 'ASC' } },
  );
  return rows.map((row) => ({
    id: row.id,
    code: row.code,
    name: row.name,
    calibrated: row.calibrated,
    row,
    acts: acts.filter(({ instrumentId }) => instrumentId === row.id),
  }));
}
