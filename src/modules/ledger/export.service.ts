import { Injectable, type StreamableFile } from '@nestjs/common';
import writeXlsxFile from 'write-excel-file/node';
import { Clock } from '../../clock.js';
import type { LedgerChoiceDto, MovementDto, OnHandChoiceDto, OnHandDto } from '../../contract/ledger.dto.js';
import { onShelf } from '../../core/find/lists.js';
import { movementsOf } from '../../store/questions/movements.js';
import { stockHere } from '../../store/questions/on-hand.js';
import { Store } from '../../store/store.js';
import type { Acting } from '../http/access.js';
import { csvFile } from '../http/csv-file.js';
import { besideOf, choiceOf, unitsOf } from './ledger.service.js';
import { movementView, onHandView } from './views.js';

type Cell = string | number;

/** Rows of a page: what is held at once, however long the ledger. */
const MOVEMENTS_A_PAGE = 1_000;
const REAGENTS_A_PAGE = 100;

const LEDGER_HEADING = [
  'record',
  'at',
  'day',
  'kind',
  'reagent',
  'lot number',
  'container',
  'amount',
  'unit',
  'short',
  'place',
  'run',
  'person',
  'reason',
];

const ON_HAND_HEADING = [
  'reagent',
  'name',
  'lot number',
  'container',
  'expiry',
  'usable until',
  'on hand',
  'unit',
  'may be used',
  'why not',
  'opened',
  'place',
  'value',
  'counted',
];

/** What a person takes away; made page by page, so that a long ledger needs no more memory than a short one. */
@Injectable()
export class ExportService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  ledgerCsv(acting: Acting, choice: LedgerChoiceDto): Promise<StreamableFile> {
    return csvFile('ledger', LEDGER_HEADING, this.movements(acting, choice));
  }

  onHandCsv(acting: Acting, choice: OnHandChoiceDto): Promise<StreamableFile> {
    return csvFile('on-hand', ON_HAND_HEADING, this.stock(acting, choice));
  }

  /** A workbook is packed as a whole; only text and numbers stand in it, no cell is a formula. */
  async onHandXlsx(acting: Acting, choice: OnHandChoiceDto): Promise<Buffer> {
    const rows: Cell[][] = [];
    for await (const page of this.stock(acting, choice)) rows.push(...page);
    const heading = ON_HAND_HEADING.map((value) => ({ value, type: String, fontWeight: 'bold' as const }));
    const cells = rows.map((row) =>
      row.map((value) => (typeof value === 'number' ? { value, type: Number } : { value, type: String })),
    );
    return writeXlsxFile([heading, ...cells], { sheet: 'On hand' }).toBuffer();
  }

  private async *movements({ laboratoryId }: Acting, choice: LedgerChoiceDto): AsyncGenerator<Cell[][]> {
    const units = await this.store.read(laboratoryId, unitsOf);
    let after: string | undefined;
    do {
      const wanted = { take: MOVEMENTS_A_PAGE, after };
      const page = await this.store.read(laboratoryId, (view) => movementsOf(view, choiceOf(choice), wanted));
      yield page.map((row) => movementCells(movementView(row, units)));
      after = page.length === MOVEMENTS_A_PAGE ? page.at(-1)?.id : undefined;
    } while (after !== undefined);
  }

  private async *stock(
    { laboratoryId }: Acting,
    { find = '', show, ...choice }: OnHandChoiceDto,
  ): AsyncGenerator<Cell[][]> {
    const beside = await this.store.read(laboratoryId, (view) => besideOf(view, this.clock.now()));
    let after: string | undefined;
    do {
      const wanted = { ...choice, take: REAGENTS_A_PAGE, after };
      const page = await this.store.read(laboratoryId, (view) => stockHere(view, wanted));
      yield page
        .map((each) => onHandView(each, beside))
        .map((each) => ({ ...each, containers: onShelf(each, { find, show }) }))
        .flatMap(containerCells);
      after = page.length === REAGENTS_A_PAGE ? page.at(-1)?.reagent.code : undefined;
    } while (after !== undefined);
  }
}

function movementCells(each: MovementDto): Cell[] {
  const { seq, at, day, kind, reagent, lotNumber, label, amount, short, place, runId, person, reason } = each;
  return [
    seq,
    at,
    day,
    kind,
    reagent,
    lotNumber,
    label,
    amount.value,
    amount.unit,
    short?.value ?? '',
    place ?? '',
    runId ?? '',
    person ?? '',
    reason ?? '',
  ];
}

function containerCells({ reagent, name, unit, containers }: OnHandDto): Cell[][] {
  return containers.map((each) => [
    reagent,
    name,
    each.lotNumber,
    each.label,
    each.expiry ?? '',
    each.usableUntil ?? '',
    each.onHand?.value ?? '',
    unit,
    each.usable ? 'yes' : 'no',
    each.reasons.map(({ message }) => message).join('; '),
    each.openedAt ?? '',
    each.place ?? '',
    each.valueCents === null ? '' : each.valueCents / 100,
    each.countedAt ?? '',
  ]);
}
