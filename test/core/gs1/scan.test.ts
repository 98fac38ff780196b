import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { makeLabel } from '../../../src/core/gs1/label.js';
import { readScan } from '../../../src/core/gs1/scan.js';

const GS = '\u001d';
const scan = (text: string) => readScan(text, '2026-11-25');
const LABEL = makeLabel('C', '7K3M-0042');

describe('what was scanned', () => {
  it.each([LABEL, `]C0${LABEL}`, `]d1${LABEL}`, `]Q1${LABEL}\r\n`, LABEL.toLowerCase()])(
    '%j is our own label',
    (text) => {
      expect(scan(text)).toEqual({ type: 'label', label: { valid: true, kind: 'C', id: '7K3M-0042' } });
    },
  );

  it('keeps a damaged label a label', () => {
    expect(scan('SW1:C:7K3M-0043A')).toMatchObject({ type: 'label', label: { valid: false } });
  });

  it.each([
    ']d201095212345432131727063010EY2406A\r',
    '(01)09521234543213(17)270630(10)EY2406A',
    '01095212345432131727063010EY2406A',
    `10EY2406A${GS}172706300109521234543213`,
    '172706300109521234543213' + '10EY2406A',
    ']Q1https://id.example.org/01/09521234543213/10/EY2406A?17=270630',
    ']d1https://id.example.org/01/09521234543213/10/EY2406A?17=270630',
    'https://id.example.org/01/09521234543213/10/EY2406A?17=270630\n',
  ])('%j is GS1 data', (text) => {
    expect(scan(text)).toMatchObject({
      type: 'gs1',
      reading: { valid: true, gtin: '09521234543213', lot: 'EY2406A', expiry: '2027-06-30' },
    });
  });

  it.each([
    ['9521234543213', '09521234543213'],
    ['19521234543210', '19521234543210'],
    ['02345673', '00000002345673'],
    ['416000336108', '00416000336108'],
    [']E09521234543213', '09521234543213'],
  ])('%s is the number of a product', (text, gtin) => {
    expect(scan(text)).toMatchObject({
      type: 'gs1',
      reading: { valid: true, gtin, elements: [], warnings: [{ code: 'GS1_GTIN_ONLY' }] },
    });
  });

  it.each([
    [']d20109521234543214', 'GS1_CHECK_DIGIT'],
    ['0109521234543214', 'GS1_CHECK_DIGIT'],
    [']C00109521234543213', 'GS1_CARRIER'],
    ['(17)270630', 'GS1_MISSING_AI'],
    [`17270630${GS}10A1`, 'GS1_MISSING_AI'],
    ['HtTp://id.example.org/01/09521234543213', 'GS1_LINK'],
    ['https://id.example.org/about', 'GS1_LINK'],
  ])('%j is faulty GS1 data: %s', (text, code) => {
    expect(scan(text)).toMatchObject({ type: 'gs1', reading: { valid: false, error: { code } } });
  });

  it.each(['hello', '10EY2406A', '9912', ']d10109521234543213', ']Q1hello', '9521234543214'])(
    '%j is unknown, and it says what would be right',
    (text) => {
      expect(scan(text)).toEqual({
        type: 'unknown',
        code: 'SCAN_UNKNOWN',
        message: expect.stringMatching(/neither .* nor GS1 data; scan one of our own labels/),
      });
    },
  );

  it.each(['', '\r\n', ']d1', ']C0', '  '])('%j is nothing', (text) => {
    expect(scan(text)).toMatchObject({ type: 'unknown', code: 'SCAN_EMPTY' });
  });

  it('never throws on arbitrary text', () => {
    fc.assert(
      fc.property(
        fc.oneof(fc.string({ unit: 'binary' }), fc.stringMatching(/^[\](d2C01E47:SW\u001d]{0,20}$/)),
        (text) => {
          expect(['label', 'gs1', 'unknown']).toContain(scan(text).type);
        },
      ),
      { numRuns: 500 },
    );
  });
});
