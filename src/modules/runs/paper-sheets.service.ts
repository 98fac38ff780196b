import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type {
  PaperSheetDto,
  PaperSheetListDto,
  PaperSheetQueryDto,
  PrintSheetsDto,
  SheetsToPrintDto,
} from '../../contract/paper-sheets.dto.js';
import { makeLabel } from '../../core/gs1/label.js';
import { Refusal } from '../../core/refusal.js';
import { MOST_SHEETS } from '../../core/run/paper-sheet.js';
import { paperSheetsPdf } from '../../reports/paper-sheet.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { lastSheetNumber, openSheets, paperSheets, sheetsToPrint } from '../../store/questions/paper-sheets.js';
import { revisionOf } from '../../store/questions/runs.js';
import { PaperSheetEndRow, PaperSheetRow } from '../../store/rows/paper-sheets.entity.js';
import { Store } from '../../store/store.js';
import { type Acting, onceOf } from '../http/access.js';
import { isInForce } from './run-checks.js';

@Injectable()
export class PaperSheetsService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  list({ laboratoryId }: Acting, { take, after }: PaperSheetQueryDto): Promise<PaperSheetListDto> {
    return this.store.read(laboratoryId, async (view) => {
      const items = await paperSheets(view, { take, ...(after !== undefined && { before: Number(after) }) });
      const next = items.length < take ? null : String(items.at(-1)?.number);
      return { items, next, open: await openSheets(view) };
    });
  }

  /** New sheets with the laboratory's next numbers. */
  async print(acting: Acting, body: PrintSheetsDto, key: string | undefined): Promise<PaperSheetDto[]> {
    const { revisionId, count } = body;
    const { from, to } = await this.store.change(
      acting,
      'paper-sheets.printed',
      async (unit) => {
        const revision = await revisionOf(unit, revisionId);
        if (!(await isInForce(unit, revision, unit.at))) {
          const message = `Revision ${revision.number} of ${revision.title} is not in force; print sheets of the one that is.`;
          throw new Refusal('conflict', 'revision-not-in-force', message, [{ at: 'revisionId', message }]);
        }
        const last = await lastSheetNumber(unit);
        for (let number = last + 1; number <= last + count; number += 1) {
          await unit.insert(PaperSheetRow, {
            number,
            label: makeLabel('F', String(number).padStart(8, '0')),
            revisionId,
            at: unit.at,
            personId: unit.personId,
          });
        }
        unit.about('revision', revisionId, { sheets: [last + 1, last + count] });
        return { from: last + 1, to: last + count };
      },
      onceOf(key, body),
    );
    return this.store.read(acting.laboratoryId, async (view) =>
      (await paperSheets(view, { take: count, before: to + 1 })).filter(({ number }) => number >= from).reverse(),
    );
  }

  async void(acting: Acting, id: string, reason: string, key: string | undefined): Promise<PaperSheetDto> {
    const number = await this.store.change(
      acting,
      'paper-sheet.voided',
      async (unit) => {
        const sheet = await unit.need(PaperSheetRow, { id }, `paper sheet ${id}`);
        const ended = await unit.one(PaperSheetEndRow, { sheetId: id });
        if (ended) {
          const what = ended.runId === null ? 'void' : 'entered';
          throw new Refusal('conflict', 'sheet-ended', `Paper sheet ${sheet.number} is ${what} already.`);
        }
        const { at, personId } = unit;
        await unit.insert(PaperSheetEndRow, { sheetId: id, runId: null, reason, fileId: null, at, personId });
        unit.about('paper-sheet', id, { number: sheet.number });
        return sheet.number;
      },
      onceOf(key, { id, reason }),
    );
    const [sheet] = await this.store.read(acting.laboratoryId, (view) =>
      paperSheets(view, { take: 1, before: number + 1 }),
    );
    return sheet as PaperSheetDto;
  }

  async pdf({ laboratoryId }: Acting, { from, to }: SheetsToPrintDto): Promise<Buffer> {
    const [first, last] = [Number(from), Number(to)];
    if (last < first || last - first >= MOST_SHEETS) {
      const message = `give a last number from ${first} to ${first + MOST_SHEETS - 1}`;
      throw new Refusal(
        'invalid',
        'sheets-out-of-order',
        `Sheets ${from} to ${to} are not printed at once; ${message}.`,
        [{ at: 'to', message }],
      );
    }
    const { laboratory, sheets } = await this.store.read(laboratoryId, async (view) => ({
      laboratory: await needLaboratory(view),
      sheets: await sheetsToPrint(view, first, last),
    }));
    if (sheets.length === 0) throw new Refusal('not-found', 'not-found', `There are no paper sheets ${from} to ${to}.`);
    return paperSheetsPdf(sheets, {
      laboratory: laboratory.name,
      demo: laboratory.demo,
      zone: laboratory.zone,
      now: this.clock.now(),
    });
  }
}
