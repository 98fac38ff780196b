import { Refusal } from '../refusal.js';
import { LOT_STANDINGS } from '../lot/lot.js';
import { Fields } from '../time/fields.js';
import { classifyDemand, type DemandPattern, type Spread } from './demand.js';
import { allocateFefo, type Allocation } from './fefo.js';
import { smooth } from './forecast.js';
import { croston, sba, sbj, tsb } from './intermittent.js';
import { proposeOrder, reorderLevels, type OrderProposal, type ReorderLevels } from './reorder.js';

/**
 * Answers `compute reorder`: one case with demand and lead time per day, cover, service level, stock and terms, as given
 * in JSON; refuses one that cannot be computed. Safety stock, reorder point and order-up-to level, then the order.
 */
export function computeReorder(input: unknown): { id: string } & ReorderLevels & OrderProposal {
  const fields = new Fields(input);
  const policy = {
    demandPerDay: readSpread(fields, 'demandPerDay'),
    leadTimeDays: readSpread(fields, 'leadTimeDays'),
    coverDays: fields.number('coverDays'),
    serviceLevel: fields.number('serviceLevel'),
  };
  const levels = reorderLevels(policy);
  const position = { onHand: fields.number('onHand'), onOrder: fields.number('onOrder') };
  const terms = {
    packSize: fields.number('packSize'),
    minimumOrder: fields.number('minimumOrder'),
    shelfLifeDaysOnArrival: fields.orNull('shelfLifeDaysOnArrival', (name) => fields.number(name)),
  };
  return { id: fields.text('id'), ...levels, ...proposeOrder(levels, policy, position, terms) };
}

export interface ForecastResult extends DemandPattern {
  id: string;
  ses: number;
  croston: number;
  sba: number;
  sbj: number;
  tsb: number;
}

/**
 * Answers `compute forecast`: class and forecasts per period of one history `{id, history, alpha, beta}` as given in
 * JSON; refuses one that cannot be computed.
 */
export function computeForecast(input: unknown): ForecastResult {
  const fields = new Fields(input);
  const history = fields.numbers('history');
  const alpha = fields.number('alpha');
  return {
    id: fields.text('id'),
    ...classifyDemand(history),
    ses: smooth(history, alpha),
    croston: croston(history, alpha).forecast,
    sba: sba(history, alpha),
    sbj: sbj(history, alpha),
    tsb: tsb(history, { alpha, beta: fields.number('beta') }).forecast,
  };
}

/**
 * Answers `compute fefo`: what to take for one need `{id, at, need, containers}` as given in JSON; refuses one that
 * cannot be computed.
 */
export function computeFefo(input: unknown): { id: string } & Allocation {
  const fields = new Fields(input);
  const containers = fields.list('containers').map((container) => {
    container.onlyKeys('id', 'usableUntil', 'quantity', 'receivedAt', 'state');
    return {
      id: container.text('id'),
      usableUntil: container.orNull('usableUntil', (name) => container.instant(name)),
      quantity: container.number('quantity'),
      receivedAt: container.instant('receivedAt'),
      state: readStanding(container),
    };
  });
  return { id: fields.text('id'), ...allocateFefo(containers, fields.number('need'), fields.instant('at')) };
}

function readSpread(fields: Fields, name: string): Spread {
  const inner = fields.object(name).onlyKeys('mean', 'sd');
  return { mean: inner.number('mean'), sd: inner.number('sd') };
}

function readStanding(fields: Fields) {
  const text = fields.text('state');
  const standing = LOT_STANDINGS.find((known) => known === text);
  if (standing === undefined) {
    const at = `${fields.path}.state`;
    const message = `${at} is "${text}"; give one of ${LOT_STANDINGS.join(', ')}`;
    throw new Refusal('invalid', 'malformed-case', message, [{ at, message }]);
  }
  return standing;
}
