import { describe, expect, it } from '@jest/globals';
import { readScan } from '../../../src/core/gs1/scan.js';
import { type LotPrint, matchLot } from '../../../src/core/lot/scanned.js';

const TODAY = '2026-11-25';
/** Product number of the examples in the GS1 General Specifications. */
const GTIN = '09521234543213';
const GS = '\u001d';

const lot = (number: string, changes: Partial<LotPrint> = {}): LotPrint => ({
  gtin: GTIN,
  number,
  expiry: '2027-06-30',
  ...changes,
});

const match = (text: string, ...lots: LotPrint[]) => {
  const scan = readScan(text, TODAY);
  if (scan.type !== 'gs1' || !scan.reading.valid) throw new Error(`${text} is no GS1 data`);
  const { lot: found, candidates, warnings } = matchLot(scan.reading, lots, 'Atlantic/Azores');
  return [found?.number ?? null, candidates.map(({ number }) => number), warnings.map(({ code }) => code)];
};

// GS1 General Specifications, sections 3 and 7.8: (01) product, (10) lot, (17) expiry; a value of varying length ends at
// the separator. That a doubtful code matches nothing is the project's own rule.
describe('A lot by its bar code', () => {
  const ours = [lot('EY24'), lot('EY2'), lot('EY24', { gtin: '04006381333931' })];

  it('is matched by product and number together', () => {
    expect(match(`]d201${GTIN}1727063010EY24`, ...ours)).toEqual(['EY24', [], []]);
    expect(match(`]d201${GTIN}10EY2${GS}17270630`, ...ours)).toEqual(['EY2', [], []]);
    expect(match(`]d201${GTIN}1727063010EY3`, ...ours)).toEqual([null, [], []]);
    expect(match(`]d2010400638133393110EY2`, ...ours)).toEqual([null, [], []]);
  });

  it('is not matched after a lost separator, even where the whole text is the number of a lot', () => {
    const swallowed = lot('EY2417270630');
    expect(match(`]d201${GTIN}10EY2417270630`, ...ours, swallowed)).toEqual([
      null,
      ['EY24', 'EY2', 'EY2417270630'],
      [],
    ]);
  });

  it('is not matched when the expiry differs; a month and its last day do not', () => {
    const code = (yymmdd: string) => `]d201${GTIN}17${yymmdd}10EY24`;
    expect(match(code('270630'), lot('EY24', { expiry: '2027-06' }))).toEqual(['EY24', [], []]);
    expect(match(code('270600'), lot('EY24'))).toEqual(['EY24', [], []]);
    expect(match(code('270629'), lot('EY24'))).toEqual([null, ['EY24'], ['expiry-differs']]);
  });

  it('is not matched by the number alone, nor among several shipments', () => {
    const code = `]d201${GTIN}10EY24`;
    expect(match(code, lot('EY24', { gtin: null }))).toEqual([null, ['EY24'], ['lot-by-number-only']]);
    expect(match(code, lot('EY24'), lot('EY24'))).toEqual([null, ['EY24', 'EY24'], ['several-shipments']]);
  });

  it('is not looked for when the code names only the product', () => {
    expect(match(GTIN, ...ours)).toEqual([null, [], []]);
  });
});
