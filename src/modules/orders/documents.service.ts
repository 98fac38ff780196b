import { Injectable } from '@nestjs/common';
import { USUAL_UNIT } from '../../core/ledger/amount.js';
import { Refusal } from '../../core/refusal.js';
import { buyingOf, supplierOf } from '../../store/questions/buying.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { needOrder } from '../../store/questions/orders.js';
import { namesOf } from '../../store/questions/people.js';
import { reagentsOf } from '../../store/questions/reagents.js';
import { Store } from '../../store/store.js';
import type { Acting } from '../http/access.js';
import type { OrderPaper } from './documents/order-paper.js';

/** What an order's documents say. */
@Injectable()
export class DocumentsService {
  constructor(private readonly store: Store) {}

  /** An approved order as it was approved; a draft and a cancelled one make no document that could be taken for an order. */
  paper({ laboratoryId }: Acting, id: string): Promise<OrderPaper> {
    return this.store.read(laboratoryId, async (view) => {
      const { row, acts, folded } = await needOrder(view, id);
      const approval = acts.find(({ kind }) => kind === 'approved');
      if (!approval || folded.state === 'cancelled') {
        const state = folded.state === 'cancelled' ? 'cancelled' : 'not approved yet';
        throw new Refusal('conflict', 'no-document', `Order ${row.number} is ${state}, so there is nothing to send.`);
      }
      const supplier = await supplierOf(view, row.supplierCode, approval.seq);
      const { name } = await needLaboratory(view);
      const buying = await buyingOf(view);
      const names = await namesOf(view, [approval.personId]);
      const units = new Map(
        (
          await reagentsOf(
            view,
            folded.lines.map(({ reagentCode }) => reagentCode),
          )
        ).map(({ code, unit }) => [code, unit ?? USUAL_UNIT]),
      );
      return {
        number: row.number,
        day: approval.day,
        wantedBy: folded.wantedBy,
        currency: approval.data.currency ?? buying.currency,
        totalCents: folded.totalCents,
        buyer: { name, address: buying.deliverTo },
        customerNumber: supplier?.customerNumber ?? null,
        supplier: {
          name: supplier?.name ?? row.supplierCode,
          address: supplier?.address ?? null,
          email: supplier?.email ?? null,
        },
        approvedBy: names[approval.personId] ?? '',
        signedBy: approval.data.signature?.name ?? null,
        lines: folded.lines.map((line) => ({ ...line, unit: units.get(line.reagentCode) ?? USUAL_UNIT })),
      };
    });
  }
}
