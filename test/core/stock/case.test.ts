import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import { computeFefo, computeForecast, computeReorder } from '../../../src/core/stock/case.js';

interface Case {
  id: string;
  what: string;
  expected: Record<string, unknown>;
}

// Source and making stand in each file.
const read = (name: string) =>
  (JSON.parse(readFileSync(new URL(`../../vectors/${name}.json`, import.meta.url), 'utf8')) as { cases: Case[] }).cases;

function expectAll(computed: object, id: string, expected: Record<string, unknown>): void {
  expect(computed).toMatchObject({ id });
  for (const [key, value] of Object.entries(expected)) {
    const got = (computed as Record<string, unknown>)[key];
    if (typeof value !== 'number') expect({ [key]: got }).toEqual({ [key]: value });
    else expect(Math.abs(Number(got) - value)).toBeLessThanOrEqual(1e-9 * Math.max(Math.abs(value), 1e-3));
  }
}

describe('the published reorder cases', () => {
  const cases = read('reorder');
  it('are all here', () => expect(cases).toHaveLength(20));
  it.each(cases)('$id $what', ({ expected, what, ...given }) => expectAll(computeReorder(given), given.id, expected));
});

describe('the published forecast cases', () => {
  const cases = read('forecast');
  it('are all here', () => expect(cases).toHaveLength(16));
  it.each(cases)('$id $what', ({ expected, what, ...given }) => expectAll(computeForecast(given), given.id, expected));
});

describe('the published cases of first expired first out', () => {
  const cases = read('fefo');
  it('are all here', () => expect(cases).toHaveLength(10));
  it.each(cases)('$id $what', ({ expected, what, ...given }) => {
    expect(computeFefo(given)).toEqual({ id: given.id, ...expected });
  });
});

describe('a case of stock that cannot be computed', () => {
  const reorder = {
    id: 'a',
    demandPerDay: { mean: 20, sd: 5 },
    leadTimeDays: { mean: 9, sd: 2 },
    coverDays: 14,
    serviceLevel: 0.95,
    onHand: 150,
    onOrder: 0,
    packSize: 1,
    minimumOrder: 1,
    shelfLifeDaysOnArrival: null,
  };
  const forecast = { id: 'a', history: [0, 2, 0], alpha: 0.1, beta: 0.1 };
  const container = {
    id: 'c',
    usableUntil: null,
    quantity: 1,
    receivedAt: '2026-10-01T08:00:00.000Z',
    state: 'accepted',
  };
  const fefo = { id: 'a', at: '2026-11-25T10:00:00.000Z', need: 1, containers: [container] };

  it('is none of these', () => {
    expect(computeReorder(reorder)).toMatchObject({ quantity: 387 });
    expect(computeForecast(forecast)).toMatchObject({ adi: 3, class: 'intermittent' });
    expect(computeFefo(fefo)).toEqual({ id: 'a', take: [{ id: 'c', quantity: 1 }], short: 0 });
  });

  it.each<[string, (input: unknown) => object, unknown, string, RegExp]>([
    ['nothing', computeReorder, null, 'malformed-case', /must be an object/],
    ['no id', computeReorder, { ...reorder, id: '' }, 'malformed-case', /^id is ""/],
    ['certain service', computeReorder, { ...reorder, serviceLevel: 1 }, 'bad-policy', /^serviceLevel is 1/],
    ['no service', computeReorder, { ...reorder, serviceLevel: 0 }, 'bad-policy', /^serviceLevel is 0/],
    ['packs of nothing', computeReorder, { ...reorder, packSize: 0 }, 'bad-policy', /^packSize is 0/],
    ['a negative stock', computeReorder, { ...reorder, onHand: -1 }, 'malformed-case', /^onHand is -1/],
    ['a misspelt sd', computeReorder, { ...reorder, leadTimeDays: { mean: 1, SD: 1 } }, 'malformed-case', /SD is not/],
    ['no shelf life', computeReorder, { ...reorder, shelfLifeDaysOnArrival: undefined }, 'malformed-case', /^shelfL/],
    ['no history', computeForecast, { ...forecast, history: [] }, 'bad-history', /at least one period/],
    ['a negative demand', computeForecast, { ...forecast, history: [1, -1] }, 'malformed-case', /^history.1 is -1/],
    ['a demand in words', computeForecast, { ...forecast, history: ['1'] }, 'malformed-case', /^history.0 is "1"/],
    ['a weight of 2', computeForecast, { ...forecast, alpha: 2 }, 'bad-weight', /^alpha is 2/],
    ['a weight of 0', computeForecast, { ...forecast, beta: 0 }, 'bad-weight', /^beta is 0/],
    ['a negative need', computeFefo, { ...fefo, need: -1 }, 'malformed-case', /^need is -1/],
    ['containers that are no list', computeFefo, { ...fefo, containers: {} }, 'malformed-case', /^containers is {}/],
    [
      'a state that is none',
      computeFefo,
      { ...fefo, containers: [{ ...container, state: 'Accepted' }] },
      'malformed-case',
      /^containers.0.state is "Accepted"; give one of quarantined, accepted/,
    ],
    [
      'an end that is no instant',
      computeFefo,
      { ...fefo, containers: [{ ...container, usableUntil: '2026-11-30' }] },
      'bad-instant',
      /"2026-11-30" is not an instant/,
    ],
  ])('has %s and says so', (_what, compute, given, code, message) => {
    expect(() => compute(given)).toThrow(expect.objectContaining({ code, message: expect.stringMatching(message) }));
  });
});
