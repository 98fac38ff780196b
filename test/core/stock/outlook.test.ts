import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { checkOrder } from '../../../src/core/stock/order-check.js';
import { FIGURES, stockCourse, stockOutlook } from '../../../src/core/stock/outlook.js';
import { type OutlookFacts, USUAL_POLICY } from '../../../src/core/stock/outlook-facts.js';
import { reorderLevels } from '../../../src/core/stock/reorder.js';
import { lookBack, usageOf } from '../../../src/core/stock/usage.js';
import { daysBetween, plusDays } from '../../../src/core/time/days.js';

const TODAY = '2026-11-25';
/** No spread, no cover, every movement seen: everything comes out by hand. */
const plain = { ...USUAL_POLICY, reviewDays: 0, acceptanceDays: 1, coverDays: 10 };
const facts = (changes: Partial<OutlookFacts> = {}): OutlookFacts => ({
  history: Array<number>(60).fill(2),
  shelf: [{ name: 'SW1:C:A', quantity: 20, lastDay: null, usable: true }],
  coming: [],
  inDrafts: 0,
  policy: plain,
  product: { packSize: 5, minimumOrder: 5, leadTimeDays: { mean: 5, sd: 0 }, shelfLifeDaysOnArrival: null },
  observedLeadDays: [],
  ...changes,
});
const outlook = (changes: Partial<OutlookFacts> = {}) => stockOutlook(facts(changes), TODAY);

describe('Days of the calendar', () => {
  it('are counted across months, leap days and changes of the clock', () => {
    expect(daysBetween('2026-02-27', '2026-03-01')).toBe(2);
    expect(daysBetween('2028-02-28', '2028-03-01')).toBe(2);
    expect(daysBetween('2026-11-25', '2026-11-20')).toBe(-5);
    expect(plusDays('2026-12-31', 1)).toBe('2027-01-01');
    expect(plusDays('2026-10-24', 2)).toBe('2026-10-26');
    for (const wrong of ['2026-02-30', '2026-2-3', 'soon', '']) expect(() => plusDays(wrong, 1)).toThrow(/no day/);
  });
});

// By hand: 20 at 2 a day serve the days 0 to 9 and leave nothing for the tenth; 5 days of lead and 1 of testing before it.
describe('The outlook of a steady reagent', () => {
  it('runs out, and is ordered in time, by hand', () => {
    expect(outlook()).toMatchObject({
      class: 'smooth',
      method: 'ses',
      runsOutOn: '2026-12-05',
      orderBy: '2026-11-29',
      pressing: 'this week',
    });
  });

  it('shows every number of its arithmetic, by hand', () => {
    // Lead 5 + 1 at 2 a day: order at 12; 10 more days: up to 32; 20 on the shelf are above it.
    expect(outlook().figures).toMatchObject({
      historyDays: 60,
      perDay: 2,
      perDaySd: 0,
      leadDays: 5,
      acceptanceDays: 1,
      leadDemand: 12,
      safetyStock: 0,
      reorderPoint: 12,
      orderUpTo: 32,
      position: 20,
      quantity: 0,
    });
    const { figures } = outlook({ shelf: [{ name: 'A', quantity: 11, lastDay: null, usable: true }] });
    // 32 - 11 = 21, in packs of 5: 25.
    expect(figures).toMatchObject({ position: 11, quantity: 25, packs: 5, waste: 0 });
    expect(Object.keys(figures).sort()).toEqual([...FIGURES].sort());
  });

  it('counts what is on its way and in drafts, and what is late', () => {
    const coming = [{ name: '2026-0001/1', quantity: 10, arrives: '2026-11-30', lastDay: null }];
    expect(outlook({ coming })).toMatchObject({ runsOutOn: '2026-12-10', orderBy: '2026-12-04' });
    const shelf = [{ name: 'A', quantity: 4, lastDay: null, usable: true }];
    expect(outlook({ shelf })).toMatchObject({ orderBy: '2026-11-21', pressing: 'late' });
    expect(outlook({ shelf, inDrafts: 30 })).toMatchObject({ orderBy: '2026-11-21', pressing: 'late' });
    expect(outlook({ shelf, inDrafts: 30 }).figures).toMatchObject({ position: 34, quantity: 0 });
    // What was due last week comes tomorrow at the earliest and is tested for a day.
    const overdue = [{ name: '2026-0001/1', quantity: 10, arrives: '2026-11-18', lastDay: null }];
    expect(outlook({ shelf, coming: overdue }).runsOutOn).toBe('2026-12-02');
  });

  it('does not count on what will expire: first expired first out, by hand', () => {
    // Of 20 with four days left (today included), 8 are used and 12 expire; the other 6 last three days more.
    const shelf = [
      { name: 'A', quantity: 20, lastDay: '2026-11-28', usable: true },
      { name: 'B', quantity: 6, lastDay: null, usable: true },
    ];
    const found = outlook({ shelf });
    expect(found.runsOutOn).toBe('2026-12-02');
    expect(found.figures).toMatchObject({ onShelf: 26, expiring: 12, position: 14 });
    expect(stockCourse(facts({ shelf }), TODAY, 10)).toMatchObject({
      expiring: [{ name: 'A', day: '2026-11-28', quantity: 12 }],
      days: [
        { day: TODAY, stock: 24, low: 24, high: 24 },
        { day: '2026-11-26', stock: 22 },
        { day: '2026-11-27', stock: 20 },
        { day: '2026-11-28', stock: 18 },
        { day: '2026-11-29', stock: 4 },
        { day: '2026-11-30', stock: 2 },
        { day: '2026-12-01', stock: 0 },
        { day: '2026-12-02', stock: 0 },
        {},
        {},
      ],
    });
  });

  it('serves from quarantine only after the days of acceptance testing', () => {
    const shelf = [{ name: 'A', quantity: 20, lastDay: null, usable: false }];
    expect(outlook({ shelf })).toMatchObject({ runsOutOn: TODAY, pressing: 'late' });
    expect(outlook({ shelf }).figures.waiting).toBe(20);
  });

  it('orders no more than is used before it expires, and says what will be wasted of a minimum order', () => {
    const product = { packSize: 5, minimumOrder: 5, leadTimeDays: { mean: 5, sd: 0 }, shelfLifeDaysOnArrival: 8 };
    const shelf = [{ name: 'A', quantity: 10, lastDay: null, usable: true }];
    // Seven days are left after testing: 14 are used, so two packs of 5.
    const capped = outlook({ product, shelf });
    expect(capped).toMatchObject({ cappedByExpiry: true });
    expect(capped.figures).toMatchObject({ quantity: 10, packs: 2, waste: 0 });
    const large = outlook({ product: { ...product, packSize: 20, minimumOrder: 20 }, shelf });
    expect(large.figures).toMatchObject({ quantity: 20, packs: 1, waste: 6 });
    expect(checkOrder(facts({ product, shelf }), capped, TODAY)).toMatchObject({ capFefo: 10, wasteOnAverage: 0 });
  });

  it('takes the lead time from three deliveries on, the stated one before', () => {
    expect(outlook({ observedLeadDays: [9, 11] })).toMatchObject({ leadLearnt: false });
    const learnt = outlook({ observedLeadDays: [9, 10, 11] });
    expect(learnt).toMatchObject({ leadLearnt: true, orderBy: '2026-11-22' });
    expect(learnt.figures).toMatchObject({ leadDays: 10, leadSdDays: 1, leadsObserved: 3 });
    // With the ninth day less than the safety stock is left; 10 and 1 days before. Safety stock: 1.6449 × sqrt(11 × 0 + 2² × 1²).
    expect(learnt.figures.safetyStock).toBeCloseTo(3.2897, 4);
  });

  it('proposes nothing where nothing is used, or nothing can be bought', () => {
    expect(outlook({ history: [] })).toMatchObject({ pressing: 'idle', runsOutOn: null, orderBy: null, class: null });
    expect(outlook({ history: [] }).figures.quantity).toBe(0);
    const unknown = outlook({ product: null, shelf: [] });
    expect(unknown).toMatchObject({ pressing: 'late', runsOutOn: TODAY });
    expect(unknown.figures).toMatchObject({ quantity: null, packs: null });
  });
});

describe('The forecast of use', () => {
  it('takes the method that fits the class, or the one that was chosen', () => {
    const rare = Array.from({ length: 90 }, (_, n) => (n % 10 === 0 ? 30 : 0));
    expect(usageOf(rare, USUAL_POLICY)).toMatchObject({ class: 'intermittent', method: 'tsb', usualTaking: 30 });
    expect(usageOf(rare, { ...USUAL_POLICY, method: 'sba' }).method).toBe('sba');
    // Given up long ago: the forecast of what is no longer used falls towards nothing.
    const dead = [...rare, ...Array<number>(180).fill(0)];
    expect(usageOf(dead, USUAL_POLICY).perDay.mean).toBeLessThan(0.001);
    expect(usageOf(dead, { ...USUAL_POLICY, method: 'croston' }).perDay.mean).toBeGreaterThan(2);
  });

  it('learns weekdays where it is asked to, and looks back at four weeks', () => {
    const week = [10, 10, 10, 10, 10, 0, 0];
    const history = Array.from({ length: 140 }, (_, n) => week[n % 7] as number);
    const policy = { ...USUAL_POLICY, method: 'weekdays' as const };
    expect(usageOf(history, policy).perDay.mean).toBeCloseTo(50 / 7, 6);
    const days = stockCourse(
      facts({ history, policy, shelf: [{ name: 'A', quantity: 100, lastDay: null, usable: true }] }),
      TODAY,
      8,
    ).days;
    expect(days.map(({ stock }) => Math.round(stock))).toEqual([90, 80, 70, 60, 50, 50, 50, 40]);
    expect(lookBack(history, { method: 'weekdays' }, policy)?.mae).toBeCloseTo(0, 6);
    expect(lookBack(history, { method: 'ses' }, policy)?.mae).toBeGreaterThan(3);
    expect(lookBack(history.slice(0, 30), { method: 'ses' }, policy)).toBeNull();
    // Two weeks are needed before weekdays show.
    expect(usageOf(history.slice(0, 10), policy).method).not.toBe('weekdays');
  });

  it('counts rare takings rather than following the normal distribution', () => {
    const rare = Array.from({ length: 360 }, (_, n) => (n % 30 === 0 ? 100 : 0));
    const found = outlook({ history: rare, shelf: [{ name: 'A', quantity: 100, lastDay: null, usable: true }] });
    expect(found.byCount).toBe(true);
    expect((found.figures.reorderPoint ?? 0) % 100).toBe(0);
    expect(found.figures.safetyFactor).toBeNull();
  });
});

describe('The outlook of any reagent', () => {
  const any = fc.record({
    history: fc.array(fc.nat(40), { maxLength: 80 }),
    shelf: fc.array(
      fc.record({ quantity: fc.nat(200), days: fc.integer({ min: -3, max: 90 }), usable: fc.boolean() }),
      { maxLength: 5 },
    ),
    packSize: fc.integer({ min: 1, max: 50 }),
    life: fc.option(fc.integer({ min: 1, max: 60 })),
  });

  it('agrees with the published formulas, orders whole packs and never knows a worse day for more stock', () => {
    fc.assert(
      fc.property(any, ({ history, shelf, packSize, life }) => {
        const product = {
          packSize,
          minimumOrder: packSize,
          leadTimeDays: { mean: 5, sd: 1 },
          shelfLifeDaysOnArrival: life,
        };
        const stock = shelf.map(({ quantity, days, usable }, n) => ({
          name: `${n}`,
          quantity,
          lastDay: plusDays(TODAY, days),
          usable,
        }));
        const found = outlook({ history, shelf: stock, product });
        const { figures } = found;
        if (!found.byCount) {
          const levels = reorderLevels({
            demandPerDay: { mean: figures.perDay ?? 0, sd: figures.perDaySd ?? 0 },
            leadTimeDays: { mean: 6, sd: 1 },
            coverDays: plain.coverDays,
            serviceLevel: plain.serviceLevel,
            reviewDays: 0,
          });
          expect(figures.reorderPoint).toBeCloseTo(levels.reorderPoint, 9);
        }
        expect((figures.quantity ?? 0) / packSize).toBeCloseTo(figures.packs ?? 0, 9);
        expect(figures.position).toBeLessThanOrEqual((figures.onShelf ?? 0) + 1e-9);
        const more = outlook({
          history,
          shelf: [...stock, { name: 'more', quantity: 50, lastDay: null, usable: true }],
          product,
        });
        expect((more.runsOutOn ?? '9') >= (found.runsOutOn ?? '9')).toBe(true);
      }),
      { numRuns: 60 },
    );
  });
});
