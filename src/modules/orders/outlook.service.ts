import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type {
  OutlookDto,
  OutlookLineDto,
  OutlookListDto,
  ProposalDto,
  ReorderDto,
  SupplierProposalsDto,
} from '../../contract/outlook.dto.js';
import { Refusal } from '../../core/refusal.js';
import { checkOrder } from '../../core/stock/order-check.js';
import { FIGURES, type Outlook, stockCourse, stockOutlook } from '../../core/stock/outlook.js';
import { lookBack } from '../../core/stock/usage.js';
import { localDay } from '../../core/time/zone.js';
import { buyingOf, suppliers } from '../../store/questions/buying.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { type KnownOutlook, outlookFacts } from '../../store/questions/outlook.js';
import { Store } from '../../store/store.js';
import type { View } from '../../store/view.js';
import type { Acting } from '../http/access.js';

/** Days that a chart shows at least, and what it adds beyond the day on which nothing is left. */
const SHOWN_DAYS = 60;
const BEYOND_DAYS = 14;
const MOST_SHOWN_DAYS = 366;

/** What runs out when, and what to order. */
@Injectable()
export class OutlookService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  /** Every reagent with stock, a history or a product, the most pressing first. */
  lines({ laboratoryId }: Acting): Promise<OutlookListDto> {
    return this.store.read(laboratoryId, async (view) => {
      const { today, zone } = await this.day(view);
      const lines: OutlookLineDto[] = [];
      for await (const known of outlookFacts(view, today, zone)) {
        lines.push(lineView(known, stockOutlook(known.facts, today)));
      }
      const last = (line: OutlookLineDto): string => `${line.orderBy ?? '9999'} ${line.name}`;
      return { today, lines: lines.sort((a, b) => (last(a) < last(b) ? -1 : 1)) };
    });
  }

  /** One reagent with the whole arithmetic and the course of its stock. */
  one({ laboratoryId }: Acting, reagent: string): Promise<OutlookDto> {
    return this.store.read(laboratoryId, async (view) => {
      const { today, zone } = await this.day(view);
      for await (const known of outlookFacts(view, today, zone, reagent)) return detail(known, today);
      throw new Refusal(
        'not-found',
        'not-found',
        `There is neither stock nor use nor a product of "${reagent}", so there is nothing to look out for.`,
      );
    });
  }

  /** What to order now, by supplier. */
  reorder({ laboratoryId }: Acting): Promise<ReorderDto> {
    return this.store.read(laboratoryId, async (view) => {
      const { today, zone } = await this.day(view);
      const names = new Map((await suppliers(view)).map(({ code, name }) => [code, name]));
      const bySupplier = new Map<string, SupplierProposalsDto>();
      const withoutProduct: string[] = [];
      for await (const known of outlookFacts(view, today, zone)) {
        const outlook = stockOutlook(known.facts, today);
        const line = lineView(known, outlook);
        const { product } = known;
        if (!product) {
          if (!known.madeHere && ['late', 'today', 'this week'].includes(outlook.pressing)) {
            withoutProduct.push(line.reagent);
          }
          continue;
        }
        if (!line.packs) continue;
        const proposal: ProposalDto = {
          ...line,
          productName: product.name,
          itemNumber: product.itemNumber,
          totalCents: line.packs * product.priceCents,
        };
        const code = product.supplierCode;
        const own = bySupplier.get(code) ?? {
          supplier: code,
          name: names.get(code) ?? code,
          totalCents: 0,
          proposals: [],
        };
        own.proposals.push(proposal);
        own.totalCents += proposal.totalCents;
        bySupplier.set(code, own);
      }
      const { currency } = await buyingOf(view);
      const all = [...bySupplier.values()].sort((a, b) => (a.name < b.name ? -1 : 1));
      return { today, currency, suppliers: all, withoutProduct };
    });
  }

  private async day(view: View): Promise<{ today: string; zone: string }> {
    const { zone } = await needLaboratory(view);
    return { today: localDay(this.clock.now(), zone), zone };
  }
}

function lineView({ reagent, unit, product, madeHere }: KnownOutlook, outlook: Outlook): OutlookLineDto {
  const { figures, class: known, method, pressing, runsOutOn, orderBy, cappedByExpiry } = outlook;
  return {
    reagent: reagent.code,
    name: reagent.name,
    unit,
    class: known,
    method,
    pressing,
    runsOutOn,
    orderBy,
    perDay: figures.perDay ?? 0,
    onShelf: figures.onShelf ?? 0,
    waiting: figures.waiting ?? 0,
    coming: figures.coming ?? 0,
    inDrafts: figures.inDrafts ?? 0,
    reorderPoint: figures.reorderPoint ?? 0,
    quantity: figures.quantity,
    packs: figures.packs,
    cappedByExpiry,
    waste: figures.waste,
    product: product?.code ?? null,
    supplier: product?.supplierCode ?? null,
    priceCents: product?.priceCents ?? null,
    madeHere,
  };
}

function detail(known: KnownOutlook, today: string): OutlookDto {
  const { facts } = known;
  const outlook = stockOutlook(facts, today);
  const { days, expiring } = stockCourse(facts, today, MOST_SHOWN_DAYS);
  const empty = days.findIndex(({ high }) => high === 0);
  const shown = Math.max(SHOWN_DAYS, empty < 0 ? MOST_SHOWN_DAYS : Math.min(empty + BEYOND_DAYS, MOST_SHOWN_DAYS));
  return {
    ...lineView(known, outlook),
    today,
    leadLearnt: outlook.leadLearnt,
    byCount: outlook.byCount,
    figures: FIGURES.map((name) => ({ name, value: outlook.figures[name] })),
    lookBack: lookBack(facts.history, outlook, facts.policy),
    size: checkOrder(facts, outlook, today),
    course: days.slice(0, shown),
    expiring,
    onWay: facts.coming.map(({ name, arrives, quantity }) => ({ name, arrives, quantity })),
  };
}
