import { describe, expect, it } from '@jest/globals';
import type { Scanned } from '../../src/web/api.paths.js';
import {
  afterScan,
  ANEW,
  bodyOf,
  missingIn,
  oneMore,
  withSize,
  wrongAmount,
  wrongNumber,
} from '../../src/web/stock/delivery.js';

const CODE = ']d2 as scanned';

function scanned(gs1: NonNullable<Scanned['gs1']>, more: Partial<Scanned> = {}): Scanned {
  return {
    kind: 'unknown',
    message: 'No product with this code',
    warnings: [],
    needsConfirmation: false,
    gs1,
    ...more,
  };
}

const BOX = { gtin: '09521234000884', lot: 'LOT-7', expiry: '2028-03-31', serial: 'A1' };

describe('a delivery that is scanned', () => {
  it('takes product, lot, expiry and serial from the code, and adds a container with each further serial', () => {
    const first = afterScan(ANEW, scanned(BOX), CODE).delivery;
    expect(first).toMatchObject({ gtin: BOX.gtin, number: 'LOT-7', expiry: '2028-03-31' });
    const second = afterScan(first, scanned({ ...BOX, serial: 'A2' }), CODE).delivery;
    expect(second.containers.map(({ serial }) => serial)).toEqual(['A1', 'A2']);
  });

  it('takes neither lot nor serial from a code that may have lost its separator', () => {
    const torn = scanned({ ...BOX, lot: 'LOT-721A1' }, { needsConfirmation: true });
    const { delivery } = afterScan(ANEW, torn, CODE);
    expect(delivery).toMatchObject({ number: '', expiry: '2028-03-31' });
    expect(delivery.containers.map(({ serial }) => serial)).toEqual(['']);
  });

  it('keeps one lot to a delivery and one line to a serial', () => {
    const first = afterScan(ANEW, scanned(BOX), CODE).delivery;
    const other = afterScan(first, scanned({ ...BOX, lot: 'LOT-8' }), CODE);
    expect(other.delivery).toBe(first);
    expect(other.said).toContain('LOT-8');
    expect(afterScan(first, scanned(BOX), CODE).delivery).toBe(first);
  });

  it('never overwrites what was typed', () => {
    const typed = { ...ANEW, expiry: '2027-12', reagent: 'xylene' };
    expect(afterScan(typed, scanned(BOX), CODE).delivery).toMatchObject({ expiry: '2027-12', reagent: 'xylene' });
  });

  it('takes our own label onto a container that has none', () => {
    const { delivery } = afterScan(ANEW, { ...scanned({}), gs1: undefined } as never, 'SW1:C:7K3M-00424');
    expect(delivery.containers.map(({ label }) => label)).toEqual(['SW1:C:7K3M-00424']);
  });
});

describe('a delivery that is sent', () => {
  it('says what is missing', () => {
    expect(missingIn(ANEW)).toEqual(['reagent', 'lot number', 'expiry', 'supplier']);
  });

  it('sends only what was given, the opened life as an ISO 8601 duration', () => {
    const supplied = {
      ...ANEW,
      reagent: 'xylene',
      number: ' X-1 ',
      source: 'Tidewater',
      expiry: '2028-03',
      openedDays: '30',
    };
    expect(bodyOf(supplied, 'mL')).toEqual({
      reagent: 'xylene',
      number: 'X-1',
      source: 'Tidewater',
      expiry: '2028-03',
      openedLife: 'P30D',
      containers: [{}],
    });
  });

  it('takes whole numbers above 0 only', () => {
    expect(['', '7', ' 30 '].map(wrongNumber)).toEqual([false, false, false]);
    expect(['0', '-1', '1.5', 'a week'].map(wrongNumber)).toEqual([true, true, true, true]);
  });

  const bottle = { key: 3, serial: 'A', size: '500 mL', amount: '500', unit: 'mL', label: '' };

  it('gives a further container the size and the amount of the last', () => {
    expect(oneMore([bottle]).at(-1)).toEqual({ ...bottle, key: 4, serial: '' });
  });

  it.each<[string, string, string]>([
    ['500 mL', '500', 'mL'],
    ['2.5L', '2.5', 'L'],
    ['100 \u00b5L', '100', 'uL'],
    ['25 g', '25', 'g'],
    ['1 kit', '', ''],
    ['5 x 20 mL', '', ''],
    ['', '', ''],
  ])('reads the amount of the size %p', (size, amount, unit) => {
    expect(withSize({ ...bottle, size: '', amount: '', unit: '' }, size)).toMatchObject({ size, amount, unit });
  });

  it('keeps an amount that a person typed beside the size, and follows the size otherwise', () => {
    expect(withSize(bottle, '1 L')).toMatchObject({ amount: '1', unit: 'L' });
    expect(withSize({ ...bottle, amount: '480' }, '1 L')).toMatchObject({ amount: '480', unit: 'mL' });
  });

  it('sends the amount in its unit, or in that in which the reagent is counted', () => {
    const sent = (change: object) =>
      bodyOf({ ...ANEW, containers: [{ ...bottle, ...change }] }, '{piece}').containers[0]?.amount;
    expect(sent({})).toEqual({ value: 500, unit: 'mL' });
    expect(sent({ amount: ' 0,5 ', unit: '' })).toEqual({ value: 0.5, unit: '{piece}' });
    expect(sent({ amount: '' })).toBeUndefined();
    expect(['', '7', '0,5'].map(wrongAmount)).toEqual([false, false, false]);
    expect(['0', '-1', 'half', '1 L'].map(wrongAmount)).toEqual([true, true, true, true]);
  });
});
