import { Injectable } from '@nestjs/common';
import type { FastifyRequest } from 'fastify';
import { Clock } from '../../clock.js';
import { checkPeriod, checkProtocol, grantAt, type ReviewGrant } from '../../core/people/review.js';
import { Refusal } from '../../core/refusal.js';
import { type Instant, isInstant } from '../../core/time/instant.js';
import { endOfDay, endOfMonth, instantOfLocal } from '../../core/time/zone.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { grantsOf } from '../../store/questions/review/grants.js';
import { withinScope } from '../../store/questions/review/within.js';
import { LookRow } from '../../store/rows/review.entity.js';
import { Store } from '../../store/store.js';
import type { Acting } from './access.js';
import { type Reach, REVIEWER_ROUTES } from './reviewer-routes.js';

/** What a reviewer looked at. */
export interface Look {
  /** A kind of record, or 'question'. */
  kind: string;
  about: string;
  period?: { from: Instant; to: Instant };
}

/** Keeps reviewers to what was granted to them, and keeps what they looked at. */
@Injectable()
export class Reviewing {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  /** Lets a reviewer's request through within their grant, which then goes with it; refuses any other in words. */
  async admit(acting: Acting, request: FastifyRequest): Promise<Acting> {
    const route = routeOf(request);
    const reach = REVIEWER_ROUTES[route];
    if (reach === 'own') return acting;
    const review = await this.grantOf(acting);
    if (reach === undefined) {
      throw new Refusal(
        'forbidden',
        'not-for-review',
        'This cannot be kept to the period that you were granted. Ask the record instead; runs, lots, orders, files, protocols, recipes and control plans can be opened from its answers.',
      );
    }
    const admitted = { ...acting, review };
    if (typeof reach === 'object' || reach === 'month') await this.keepTo(admitted, review, reach, request);
    return admitted;
  }

  /** Keeps what was looked at, when a reviewer did. */
  async looked(acting: Acting, asked: string, { kind, about, period }: Look): Promise<void> {
    const { review, personId } = acting;
    if (!review || personId === null) return;
    await this.store.change(acting, 'record.looked', async (unit) => {
      const seen = { kind, about, asked, ...(period && { period }) };
      const { id } = await unit.insert(LookRow, { ...seen, personId, grantId: review.id, at: unit.at });
      unit.about('look', id, seen);
    });
  }

  private async grantOf({ laboratoryId, personId }: Acting): Promise<ReviewGrant> {
    if (personId === null) {
      throw new Refusal('forbidden', 'person-needed', 'A review is granted to a person; sign in as one.');
    }
    const grants = await this.store.read(laboratoryId, (view) => grantsOf(view, personId));
    return grantAt(grants, this.clock.now());
  }

  private async keepTo(
    acting: Acting,
    review: ReviewGrant,
    reach: Extract<Reach, object | 'month'>,
    request: FastifyRequest,
  ): Promise<void> {
    const asked = routeOf(request);
    const given = { ...textsOf(request.query), ...textsOf(request.params) };
    if (reach !== 'month' && 'record' in reach) {
      const id = given[reach.by] ?? '';
      const within = await this.store.read(acting.laboratoryId, (view) => withinScope(view, review, reach.record, id));
      if (!within) {
        throw new Refusal(
          'forbidden',
          'outside-review',
          `Within what you were granted there is no such ${reach.record}: records from ${review.from} until before ${review.to}.`,
        );
      }
      return this.looked(acting, asked, { kind: reach.record, about: id });
    }
    const period = await this.periodOf(acting.laboratoryId, reach, given);
    checkPeriod(review, period);
    if (review.protocols !== null) checkProtocol(review, (reach === 'month' ? null : given[reach.protocol]) ?? '');
    return this.looked(acting, asked, { kind: 'question', about: asked, period });
  }

  private async periodOf(
    laboratoryId: string,
    reach: Exclude<Extract<Reach, object | 'month'>, { record: unknown }>,
    { from = '', to = '', month = '' }: Record<string, string>,
  ): Promise<{ from: Instant; to: Instant }> {
    if (reach !== 'month' && reach.period === 'instants') {
      if (isInstant(from) && isInstant(to)) return { from, to };
      const message = 'A reviewer says from when and until when: instants in UTC, like 2026-11-25T00:00:00.000Z.';
      throw new Refusal('invalid', 'period-needed', message, [{ at: 'from', message }]);
    }
    const { zone } = await this.store.read(laboratoryId, needLaboratory);
    if (reach === 'month') return { from: instantOfLocal(`${month}-01T00:00`, zone), to: endOfMonth(month, zone) };
    return { from: instantOfLocal(`${from}T00:00`, zone), to: endOfDay(to, zone) };
  }
}

/** The route as it was declared. HEAD is GET without the answer's body. */
function routeOf({ method, routeOptions }: FastifyRequest): string {
  return `${method === 'HEAD' ? 'GET' : method} ${routeOptions.url ?? ''}`;
}

function textsOf(given: unknown): Record<string, string> {
  const entries = Object.entries(given ?? {}).filter(
    (entry): entry is [string, string] => typeof entry[1] === 'string',
  );
  return Object.fromEntries(entries);
}
