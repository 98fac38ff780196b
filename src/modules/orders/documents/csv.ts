import { stringify } from 'csv-stringify/sync';
import { quantityOf } from '../../../core/ledger/amount.js';
import { decimal, type OrderPaper } from './order-paper.js';

/** The order's lines as CSV (RFC 4180): UTF-8, a row of names, a line each. */
export function orderCsv(paper: OrderPaper): string {
  const rows = paper.lines.map((line, index) => ({
    order: paper.number,
    date: paper.day,
    line: index + 1,
    item_number: line.itemNumber,
    gtin: line.gtin ?? '',
    name: line.name,
    packs: line.packs,
    containers_per_pack: line.packContainers,
    amount_per_container: quantityOf(line.containerMicro, line.unit).value,
    unit_ucum: line.unit,
    price_per_pack: decimal(line.priceCents),
    line_total: decimal(line.packs * line.priceCents),
    currency: paper.currency,
    wanted_by: paper.wantedBy ?? '',
  }));
  // A spreadsheet must not take a name for a formula.
  return stringify(rows, { header: true, record_delimiter: 'windows', escape_formulas: true });
}
