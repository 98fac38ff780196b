import { describe, expect, it } from '@jest/globals';
import {
  bathMatter,
  expiringMatter,
  type ExpiringLot,
  orderMatter,
  unreadMatter,
  waterMatter,
} from '../../../src/core/alerts/matter.js';

const lot: ExpiringLot = {
  id: 'l1',
  reagent: 'Acridine orange',
  number: 'QUILL-7',
  origin: 'supplied',
  lastDay: '2026-12-05',
  containers: 2,
  leadDays: 10,
  leftover: null,
  unit: 'mL',
};

describe('A lot is expiring', () => {
  // The last day on which a replacement ordered today arrives and is accepted: the rule; 30 days where nothing is
  // known and a day for what is prepared here: common practice, no source.
  it.each<[string, Partial<ExpiringLot>, string, boolean]>([
    ['from the day on which a replacement would come too late', {}, '2026-11-25', true],
    ['not a day before', {}, '2026-11-24', false],
    ['with part of a day of lead counted whole', { leadDays: 9.2 }, '2026-11-25', true],
    ['by 30 days where no lead time is known', { leadDays: null }, '2026-11-05', true],
    ['by no more than those', { leadDays: null }, '2026-11-04', false],
    ['a day ahead when it is prepared here', { origin: 'prepared' }, '2026-12-04', true],
    ['no sooner when it is prepared here', { origin: 'prepared' }, '2026-12-03', false],
    ['not when it is used up before', { leftover: 0 }, '2026-12-01', false],
    ['when some of it will be left', { leftover: 120 }, '2026-12-01', true],
    ['and stays so once it is over', {}, '2026-12-09', true],
  ])('%s', (_when, changes, today, told) => {
    expect(expiringMatter({ ...lot, ...changes }, today) !== null).toBe(told);
  });

  it('and says until when, what is left and what to do, under one key', () => {
    expect(expiringMatter({ ...lot, leftover: 123.45 }, '2026-11-30')).toEqual({
      key: 'lot expiring:l1',
      kind: 'lot expiring',
      text: 'Acridine orange, lot QUILL-7: last day of use is 2026-12-05; about 123 mL will be left of it; a replacement takes 10 days.',
      path: '/stock/l1',
    });
    expect(expiringMatter(lot, '2026-12-06')).toMatchObject({
      key: 'lot expiring:l1',
      text: expect.stringMatching(/was 2026-12-05.*discard/),
    });
  });
});

describe('An order is due', () => {
  const facts = {
    code: 'acridine-orange',
    reagent: 'Acridine orange',
    unit: '{piece}',
    position: 12,
    reorderPoint: 12,
    quantity: 40,
    packs: 1,
    orderBy: '2026-11-30',
  };
  it.each([
    ['at the reorder point', {}, true],
    ['not above it', { position: 13 }, false],
    ['above it on the last day in time', { position: 13, orderBy: '2026-11-25' }, true],
    ['not when nothing is bought', { quantity: null }, false],
    ['not when nothing is proposed', { quantity: 0 }, false],
  ])('%s', (_when, changes, told) => {
    const matter = orderMatter({ ...facts, ...changes }, '2026-11-25');
    expect(matter !== null).toBe(told);
    if (matter) expect(matter.text).toContain('40 piece in 1 pack.');
  });
});

it('says of a bath by when it has to be changed, or after how many slides', () => {
  const bath = {
    containerId: 'c1',
    label: 'SW1:P:1',
    what: 'change' as const,
    due: '2026-11-25T09:00:00.000Z',
    left: 4,
  };
  const at = (now: string, changes = {}) => bathMatter({ ...bath, ...changes }, now).text;
  expect(at('2026-11-25T08:00:00.000Z')).toBe('The bath SW1:P:1 has to be changed by 2026-11-25T09:00:00.000Z.');
  expect(at('2026-11-25T09:00:00.000Z')).toBe('The bath SW1:P:1 had to be changed by 2026-11-25T09:00:00.000Z.');
  expect(at('2026-11-25T08:00:00.000Z', { due: null })).toBe('The bath SW1:P:1 has to be changed after 4 more slides.');
});

describe('The water over picric acid', () => {
  const check = { wet: true, at: '2026-11-25T09:00:00.000Z', due: '2027-05-26T00:00:00.000Z' };
  const told = (now: string, changes: object = {}) =>
    waterMatter({ id: 'c1', lotId: 'l1', label: 'SW1:C:7K3M-00424', check: { ...check, ...changes } }, now);

  it('is told of from 14 days before the look is overdue, then as overdue, but not of a bottle found dry', () => {
    expect(told('2027-05-11T23:59:59.999Z')).toBeNull();
    expect(told('2027-05-12T00:00:00.000Z')).toMatchObject({
      key: 'water check due:c1',
      text: expect.stringMatching(/picric acid: look at the water over it before 2027-05-26.*without opening/),
      path: '/stock/l1',
    });
    expect(told('2027-05-26T00:00:00.000Z')?.text).toMatch(/should have been looked at before 2027-05-26/);
    expect(told('2027-05-20T00:00:00.000Z', { wet: false })).toBeNull();
  });
});

// 42 CFR 493.1252(b): storage conditions are monitored. Half a day of work: common practice, no source.
describe('A place whose temperature nobody read', () => {
  const dayFrom = '2026-11-25T00:00:00.000Z';
  const open = { from: '2026-11-25T07:00:00.000Z', to: '2026-11-25T19:00:00.000Z' };
  it.each<[string, string | null, typeof open | null, string, boolean]>([
    ['is told of once half the day of work is over', null, open, '2026-11-25T13:00:00.000Z', true],
    ['not before', null, open, '2026-11-25T12:59:59.999Z', false],
    ['not on a day without work', null, null, '2026-11-25T13:00:00.000Z', false],
    ['not when it was read in the first hour of the day', dayFrom, open, '2026-11-25T18:00:00.000Z', false],
    ['when the last reading is of the day before', '2026-11-24T23:59:59.999Z', open, '2026-11-25T18:00:00.000Z', true],
  ])('%s', (_when, latest, hours, now, told) => {
    const matter = unreadMatter({ code: 'FRIDGE-1', name: 'Fridge', latest }, { dayFrom, open: hours }, now);
    expect(matter !== null).toBe(told);
  });
});
