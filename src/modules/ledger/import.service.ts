import type { Readable } from 'node:stream';
import { Injectable } from '@nestjs/common';
import { v7 as newId } from 'uuid';
import { Clock } from '../../clock.js';
import type { ImportedDto } from '../../contract/ledger.dto.js';
import type { Encoding } from '../../core/ledger/decode.js';
import { type BadRow, type OpeningRow, readOpening, shipmentsOf } from '../../core/ledger/opening.js';
import { sha256 } from '../../core/record/record.js';
import { Refusal } from '../../core/refusal.js';
import { receiveOpening } from '../../store/acts/receive-opening.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { catalogue } from '../../store/questions/reagents.js';
import { type Once, Store } from '../../store/store.js';
import { type Acting, onceOf } from '../http/access.js';
import { bytesOf, csvTable, CSV, xlsxTable } from './tables.js';

const ACT = 'stock.imported';

/** How many rows are tried in one unit: others get their turn in between. */
const ROWS_A_TRIAL = 50;

/** What a person asks of an import. */
export interface ImportWish {
  dryRun: boolean;
  takeRightRows: boolean;
  encoding?: Encoding | undefined;
  /** Media type of the body. */
  type: string;
}

/** Ends a trial so that nothing of it is kept. */
class TrialOver extends Error {}

@Injectable()
export class ImportService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  /**
   * Takes opening stock from a table. Every row is tried first; when one is wrong nothing is taken, unless the right ones
   * are asked for. What is taken is one act: all of it or nothing.
   */
  async take(acting: Acting, body: Readable, wish: ImportWish, key?: string): Promise<ImportedDto> {
    const bytes = await bytesOf(body);
    const once = wish.dryRun
      ? undefined
      : onceOf(key, { file: sha256(bytes.toString('base64')), takeRightRows: wish.takeRightRows });
    const before = once && (await this.answeredBefore(acting, once));
    if (before) return before;
    const table = wish.type === CSV ? csvTable(bytes, wish.encoding) : await xlsxTable(bytes);
    const { reagents, zone } = await this.store.read(acting.laboratoryId, async (view) => ({
      reagents: await catalogue(view),
      zone: (await needLaboratory(view)).zone,
    }));
    const read = readOpening(table, { reagents, zone, now: this.clock.now() });
    if (!wish.dryRun && read.bad.length === 0 && read.rows.length > 0) {
      // Most files are tried before they are sent for good, so a second trial would only cost time.
      const all = await this.takeAll(acting, rightOf(read.rows, read.count, []), once).catch(unlessRefused);
      if (all) return all;
    }
    const bad = [...read.bad, ...(await this.tryAll(acting, read.rows))].sort((a, b) => a.row - b.row);
    const found = rightOf(read.rows, read.count, bad);
    if (wish.dryRun) return { ...found.answer, dryRun: true };
    if (bad.length > 0 && !wish.takeRightRows) throw notAllRight(found.answer);
    if (found.shipments.length === 0) {
      throw new Refusal('invalid', 'nothing-to-take', 'The file has no row that can be taken; nothing was taken.');
    }
    return this.takeAll(acting, found, once);
  }

  /** One act for all that is right. */
  private takeAll(acting: Acting, { shipments, answer }: RightRows, once: Once | undefined): Promise<ImportedDto> {
    return this.store.change(
      acting,
      ACT,
      async (unit) => {
        for (const shipment of shipments) await receiveOpening(unit, shipment);
        const { rows, right, lots, containers } = answer;
        unit.about('import', newId(), { rows, taken: right, lots, containers });
        return { ...answer, taken: true };
      },
      once,
    );
  }

  /** What a repeat of an import was answered: its rows are here by now, so trying them again would tell them as wrong. */
  private async answeredBefore(acting: Acting, once: Once): Promise<ImportedDto | null> {
    const notYet = new Refusal('conflict', 'not-yet', 'This was not taken yet.');
    return this.store
      .change<ImportedDto>(acting, ACT, () => Promise.reject(notYet), once)
      .catch((error: unknown) => {
        if (error === notYet) return null;
        throw error;
      });
  }

  /** What the store says against rows that are right in themselves. Nothing of a trial is kept. */
  private async tryAll(acting: Acting, rows: readonly OpeningRow[]): Promise<BadRow[]> {
    const bad: BadRow[] = [];
    for (let from = 0; from < rows.length; from += ROWS_A_TRIAL) {
      const found: BadRow[] = [];
      const trial = this.store.change(acting, 'stock.import-tried', async (unit) => {
        // The unit may be run a second time.
        found.length = 0;
        for (const row of rows.slice(from, from + ROWS_A_TRIAL)) {
          try {
            await receiveOpening(unit, [row]);
          } catch (error) {
            if (!(error instanceof Refusal)) throw error;
            found.push(...badRows(row.row, error));
          }
        }
        throw new TrialOver();
      });
      await trial.catch((error: unknown) => {
        if (!(error instanceof TrialOver)) throw error;
      });
      bad.push(...found);
    }
    return bad;
  }
}

/** What of a table can be taken, and what is told of it before it is. */
interface RightRows {
  shipments: OpeningRow[][];
  answer: ImportedDto;
}

function rightOf(rows: readonly OpeningRow[], count: number, bad: BadRow[]): RightRows {
  const faulty = new Set(bad.map(({ row }) => row));
  const right = rows.filter(({ row }) => !faulty.has(row));
  const shipments = shipmentsOf(right);
  const containers = right.reduce((sum, row) => sum + row.containers, 0);
  const answer = {
    dryRun: false,
    rows: count,
    right: right.length,
    lots: shipments.length,
    containers,
    taken: false,
    bad,
  };
  return { shipments, answer };
}

/** Something in the table is wrong after all: then every row is tried, to tell all of it. */
function unlessRefused(error: unknown): null {
  if (error instanceof Refusal) return null;
  throw error;
}

/** The columns of a file by the fields of a lot. */
const FIELDS: readonly [RegExp, string][] = [
  [/serial$/, 'serial'],
  [/amount$|size$/, 'amount'],
  [/^number$/, 'lot number'],
  [/^source$/, 'supplier'],
];

function badRows(row: number, { message, problems }: Refusal): BadRow[] {
  const told = problems.length > 0 ? problems : [{ at: '', message }];
  return told.map(({ at, message: each }) => ({
    row,
    field: FIELDS.find(([form]) => form.test(at))?.[1] ?? at,
    message: each,
  }));
}

function notAllRight(answer: ImportedDto): Refusal {
  const { bad, right, rows } = answer;
  return new Refusal(
    'invalid',
    'bad-rows',
    `${rows - right} of ${rows} rows are not right, and nothing was taken. Mend them, or send takeRightRows=true to take the other ${right}.`,
    bad.map(({ row, field, message }) => ({ at: `row ${row}: ${field}`, message })),
    { rows, right, bad },
  );
}
