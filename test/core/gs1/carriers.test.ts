import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { readBracketed, readGtin, readScanned, readUnprefixed } from '../../../src/core/gs1/carriers.js';
import { checkDigit } from '../../../src/core/gs1/check-digit.js';
import { type Gs1Reading } from '../../../src/core/gs1/reading.js';

const TODAY = '2026-11-25';
const GS = '\u001d';
const scanned = (text: string) => readScanned(text, TODAY);
const error = (reading: Gs1Reading) => (reading.valid ? undefined : reading.error);

/** Elements as "(01)…(10)…", or the error's code. */
function shown(reading: Gs1Reading): string {
  return reading.valid ? reading.elements.map((e) => `(${e.ai})${e.value}`).join('') : reading.error.code;
}

// Source of the tables: tests of the GS1 Barcode Syntax Engine (Apache-2.0), ai.c, scandata.c and dl.c.
describe('element strings', () => {
  it.each([
    [`]d20112345678901231${GS}`, '(01)12345678901231'],
    [`]d20112345678901231${GS}991234`, '(01)12345678901231(99)1234'],
    [`]d20112345678901231242123456${GS}10ABC123`, '(01)12345678901231(242)123456(10)ABC123'],
    [`]d2011234567890123124212`, '(01)12345678901231(242)12'],
    [']d2800302112345678900ABC', '(8003)02112345678900ABC'],
    [`]d2800302112345678900${GS}99ABC123`, '(8003)02112345678900(99)ABC123'],
    [`]d28001123412345123980112345678901231`, 'GS1_VALUE_LONG'],
    [`]d2800112341234512398${GS}0112345678901231`, '(8001)12341234512398(01)12345678901231'],
    [`]d201123456789012317007211225211231`, '(01)12345678901231(7007)211225211231'],
    [`]d2011234567890123170072112252`, 'GS1_VALUE_SHORT'],
    [']e0011231231231233310ABC123\u001d99TESTING\u001d98XYZ', '(01)12312312312333(10)ABC123(99)TESTING(98)XYZ'],
    [']d201A2345678901231', 'GS1_CHARACTER'],
    [']d2011234567890123', 'GS1_VALUE_SHORT'],
    [`]d2011234567890123${GS}`, 'GS1_VALUE_SHORT'],
    [']d20112345678901231 10ABC', 'GS1_UNKNOWN_AI'],
    [']d299ABC~', 'GS1_CHARACTER'],
    [']d2891234', 'GS1_UNKNOWN_AI'],
    [']d2800302112345678901ABC', 'GS1_CHECK_DIGIT'],
    [']d2011234567890123124212345678', 'GS1_VALUE_LONG'],
    [']C1', 'GS1_EMPTY'],
    [']Q3', 'GS1_EMPTY'],
    [']XX0112345678901231', 'GS1_CARRIER'],
    ['', 'GS1_NO_SYMBOLOGY_IDENTIFIER'],
    [']', 'GS1_NO_SYMBOLOGY_IDENTIFIER'],
    ['0112345678901231', 'GS1_NO_SYMBOLOGY_IDENTIFIER'],
  ])('%j gives %s', (text, result) => {
    expect(shown(scanned(text))).toBe(result);
  });

  it.each([
    ['(01)12345678901231(3100)123456(10)12345', '(01)12345678901231(3100)123456(10)12345'],
    ['(01)12345678901231(10)12345\\(11)991225', '(01)12345678901231(10)12345(11)991225'],
    ['(01)12345678901231(10)12345\\(', '(01)12345678901231(10)12345('],
    ['(10)(11)98765', 'GS1_VALUE_EMPTY'],
    ['(01)12345678901231(11)', 'GS1_VALUE_EMPTY'],
    ['(1A)12345', 'GS1_UNKNOWN_AI'],
    ['12345', 'GS1_BRACKETS'],
    ['()12345', 'GS1_UNKNOWN_AI'],
    ['(1)12345', 'GS1_UNKNOWN_AI'],
    ['(12345)12345', 'GS1_UNKNOWN_AI'],
    ['(15', 'GS1_BRACKETS'],
    ['(', 'GS1_BRACKETS'],
    ['', 'GS1_EMPTY'],
    ['(10)12345^', 'GS1_CHARACTER'],
    ['(00)A23456789012345675', 'GS1_CHARACTER'],
    ['(00)123456789012345670', 'GS1_CHECK_DIGIT'],
    ['(8013)123456ABXX', 'GS1_CHECK_DIGIT'],
    ['(401)123', 'GS1_CONTENT'],
    ['(8026)123456789012310302', 'GS1_CONTENT'],
    ['(8003)112345678901281234567890123456', 'GS1_CONTENT'],
    ['(8011)023456789012', 'GS1_CONTENT'],
    ['(4321)2', 'GS1_CONTENT'],
    ['(4326)201200', 'GS1_DATE'],
    ['(4324)2012252360', 'GS1_DATE'],
    ['(01)95012345678902(3103)000123', 'GS1_CHECK_DIGIT'],
    ['(01)95012345678903(3103)000123', '(01)95012345678903(3103)000123'],
  ])('%s gives %s', (text, result) => {
    expect(shown(readBracketed(text, TODAY))).toBe(result);
  });

  it.each([
    ['(400)ABC(400)ABC', true],
    ['(400)ABC(99)DEF(400)ABC', true],
    ['(400)ABC(400)ABCD', false],
    ['(400)ABC(400)XYZ(400)ABC', false],
    ['(01)12345678901231(02)12345678901231', false],
    ['(01)12345678901231(255)5412345000150', false],
    ['(21)ABC123(235)XYZ(01)12345678901231', false],
    ['(02)12345678901231(37)123', false],
    ['(02)12345678901231(37)123(00)123456789012345675', true],
    ['(91)XXX(02)12345678901231(92)YYY(37)123(93)ZZZ(00)123456789012345675', true],
    ['(21)ABC123(01)12345678901231', true],
    ['(21)ABC123(8006)123456789012310510', true],
    ['(01)12345678901231(250)ABC123', false],
    ['(01)12345678901231(21)XYZ999(250)ABC123', true],
    ['(01)12345678901231(3925)12599', false],
    ['(01)12345678901231(3925)12599(30)123', true],
    ['(01)12345678901231(3925)12599(3165)654321', true],
    ['(01)12345678901231(3925)12599(3695)654321', true],
    ['(255)5412345000150(3940)1234(3941)9999', false],
    ['(01)12345678901231(3100)654321(3102)654321', false],
  ])('what may stand together: %s, %s', (text, valid) => {
    expect(readBracketed(text, TODAY).valid).toBe(valid);
  });

  it.each([
    [']d2010952123454321', 'GS1_VALUE_SHORT', 6, /GTIN \(01\).*14 characters/],
    [']d20109521234543214', 'GS1_CHECK_DIGIT', 6, /would be 3/],
    [']d2010952123454321310EY#24', 'GS1_CHARACTER', 24, /"#" at character 24/],
    [']d2010952123454321317271301', 'GS1_DATE', 22, /month 13/],
    [']d2010952123454321310ABCDEFGHIJKL17270630XY', 'GS1_VALUE_LONG', 22, /separator .* was lost/],
    [`]d2${GS}01`, 'GS1_UNKNOWN_AI', 4, /already said by the symbology identifier/],
    [']d210EY2406A', 'GS1_MISSING_AI', 6, /lot \(10\).*needs GTIN \(01\) or/],
  ])('says what, where and what would be right: %j', (text, code, at, message) => {
    expect(error(scanned(text))).toEqual({ code, at, message: expect.stringMatching(message) });
  });

  it('reads back what is built from elements', () => {
    const value = fc.stringMatching(/^[!"%-?A-Z_a-z]{1,20}$/);
    const gtin = fc.stringMatching(/^\d{13}$/).map((digits) => digits + checkDigit(digits));
    fc.assert(
      fc.property(gtin, value, value, fc.integer({ min: 1, max: 28 }), (g, lot, serial, day) => {
        const expiry = `2705${String(day).padStart(2, '0')}`;
        const elements = [
          { ai: '01', value: g },
          { ai: '10', value: lot },
          { ai: '17', value: expiry },
          { ai: '21', value: serial },
        ];
        const read = [
          scanned(`]d201${g}10${lot}${GS}17${expiry}21${serial}`),
          scanned(`]C101${g}17${expiry}10${lot}${GS}21${serial}`),
          readBracketed(
            `(01)${g}(10)${lot.replaceAll('(', '\\(')}(17)${expiry}(21)${serial.replaceAll('(', '\\(')}`,
            TODAY,
          ),
          scanned(`]Q1https://id.example.org/01/${g}/10/${percent(lot)}/21/${percent(serial)}?17=${expiry}`),
        ];
        for (const reading of read) {
          expect(reading).toMatchObject({ valid: true, gtin: g, lot, serial, expiry: `2027-05-${expiry.slice(4)}` });
        }
        expect(read[0]).toMatchObject({ elements });
      }),
    );
  });

  it('never throws on arbitrary text', () => {
    const text = fc.oneof(
      fc.string({ unit: 'binary' }),
      fc
        .tuple(fc.constantFrom(']d2', ']C1', ']Q1https://a/', ']E0', ']E4', ']J1', '('), fc.string())
        .map((t) => t.join('')),
      fc.stringMatching(/^\]d2(01|10|17|21|7003|\d|\u001d|[A-C]){0,12}$/),
    );
    fc.assert(
      fc.property(text, (t) => {
        for (const read of [readScanned, readBracketed, readUnprefixed, readGtin]) {
          expect(typeof read(t, TODAY).valid).toBe('boolean');
        }
      }),
      { numRuns: 500 },
    );
  });
});

describe('retail bar codes', () => {
  it.each([
    [']E02112345678900', '02112345678900', ''],
    [']E402345673', '00000002345673', ''],
    [`]E02112345678900|]e099COMPOSITE${GS}98XYZ`, '02112345678900', '(99)COMPOSITE(98)XYZ'],
    [`]E402345673|]e099COMPOSITE${GS}98XYZ`, '00000002345673', '(99)COMPOSITE(98)XYZ'],
    // The number of the linear part is the GTIN that the composite part needs.
    [']E02112345678900|]e01727063010EY2406A', '02112345678900', '(17)270630(10)EY2406A'],
  ])('%s', (text, gtin, elements) => {
    const read = scanned(text);
    expect(read).toMatchObject({ valid: true, gtin });
    expect(shown(read)).toBe(elements);
  });

  it.each([
    [']E0', 'GS1_VALUE_SHORT'],
    [']E0123456789012', 'GS1_VALUE_SHORT'],
    [']E012345678901234', 'GS1_VALUE_LONG'],
    [']E01234ABC890123', 'GS1_CHARACTER'],
    [']E02112345678901', 'GS1_CHECK_DIGIT'],
    [']E41234567', 'GS1_VALUE_SHORT'],
    [']E4123456789', 'GS1_VALUE_LONG'],
    [']E412ABC678', 'GS1_CHARACTER'],
    [']E402345674', 'GS1_CHECK_DIGIT'],
  ])('%s is wrong: %s', (text, code) => {
    expect(shown(scanned(text))).toBe(code);
  });
});

describe('plain carriers', () => {
  it.each([']d1TESTING', ']Q1', ']d10109521234543213', ']Q1HtTps://example.com/01/12312312312333'])(
    'takes nothing from %s and says that it is no GS1 data',
    (text) => {
      expect(scanned(text)).toEqual({
        valid: true,
        elements: [],
        warnings: [{ code: 'GS1_NO_GS1_DATA', message: expect.stringContaining(']d2 (GS1 DataMatrix)') }],
      });
    },
  );
});

describe('Digital Link', () => {
  const read = (uri: string) => shown(scanned(`]Q1${uri}`));

  it.each([
    ['http://a/00/006141411234567890', '(00)006141411234567890'],
    ['HTTPS://a/00/006141411234567890', '(00)006141411234567890'],
    ['https://a:65535/01/12312312312333', '(01)12312312312333'],
    ['https://[2001:db8::1]/01/12312312312333', '(01)12312312312333'],
    ['https://a/more/stem/00/006141411234567890', '(00)006141411234567890'],
    ['https://a/00/faux/00/006141411234567890', '(00)006141411234567890'],
    ['https://a/01/12312312312333/22/TEST/10/ABC/21/XYZ', '(01)12312312312333(22)TEST(10)ABC(21)XYZ'],
    ['https://a/01/12312312312333/235/TEST', '(01)12312312312333(235)TEST'],
    ['https://a/8018/123456789012345675/8019/123', '(8018)123456789012345675(8019)123'],
    ['https://a/stem/00/006141411234567890?', '(00)006141411234567890'],
    ['https://a/01/12312312312333?&&&99=ABC&&&&&&98=XYZ&&&', '(01)12312312312333(99)ABC(98)XYZ'],
    [
      'https://a/01/12312312312333?singleton1&unknown1=555&99=ABC&98=XYZ&unknown3=777',
      '(01)12312312312333(99)ABC(98)XYZ',
    ],
    ['https://a/01/12312312312333/22/ABC%2d123?99=ABC&98=XYZ%2f987', '(01)12312312312333(22)ABC-123(99)ABC(98)XYZ/987'],
    ['https://a/01/12312312312333/22/ABC+123', '(01)12312312312333(22)ABC+123'],
    ['https://a/01/12312312312333/22/test/10/abc/21/xyz#fragment', '(01)12312312312333(22)test(10)abc(21)xyz'],
    ['https://a/stem/00/006141411234567890?99=ABC#fragment', '(00)006141411234567890(99)ABC'],
    [
      'https://id.gs1.org/01/09520123456788/10/ABC1/21/12345?17=180426',
      '(01)09520123456788(10)ABC1(21)12345(17)180426',
    ],
    [
      'https://id.gs1.org/00/952012345678912345?02=09520123456788&37=25&10=ABC123',
      '(00)952012345678912345(02)09520123456788(37)25(10)ABC123',
    ],
    ['https://example.com/8004/9520614141234567?01=9520123456788', '(8004)9520614141234567(01)09520123456788'],
    ['https://id.gs1.org/01/09520123456788/235/XYZ?10=ABC123', '(01)09520123456788(235)XYZ(10)ABC123'],
  ])('%s', (uri, elements) => {
    expect(read(uri)).toBe(elements);
  });

  it.each([
    ['http://', 'GS1_LINK'],
    ['http:///', 'GS1_LINK'],
    ['http://a', 'GS1_LINK'],
    ['http://a/b/', 'GS1_LINK'],
    ['https://00/006141411234567890', 'GS1_LINK'],
    ['https://$a/00/006141411234567890', 'GS1_LINK'],
    ['https://[fe80::1%25lo]/01/12312312312333', 'GS1_LINK'],
    ['https://a/01/123 4', 'GS1_LINK'],
    ['https://a/gtin/12312312312333', 'GS1_LINK'],
    ['https://a/01/2112345678900', 'GS1_VALUE_SHORT'],
    ['https://a/01/', 'GS1_VALUE_EMPTY'],
    ['https://a/stem/00/006141411234567890/', 'GS1_LINK'],
    ['https://a/253/1231231231232TEST56789012345678', 'GS1_VALUE_LONG'],
    ['https://a/01/12312312312333?99=', 'GS1_VALUE_EMPTY'],
    ['https://a/01/12312312312333?99=ABC&999=faux', 'GS1_UNKNOWN_AI'],
    ['https://a/01/12312312312333?98=XYZ+987', 'GS1_CHARACTER'],
    ['https://a/01/12312312312333?98=A%00B', 'GS1_CHARACTER'],
    ['https://a/01/12312312312333/235/A/10/B', 'GS1_LINK'],
    ['https://id.gs1.org/01/09520123456788?21=ABC123', 'GS1_LINK'],
    ['https://id.gs1.org/01/09520123456788/10/A?99=X&01=09520123456788', 'GS1_REPEATED'],
    ['https://id.gs1.org/01/09520123456788/10/A?99=X&99=X', 'GS1_REPEATED'],
    ['https://example.com/01/09520123456788/89/ABC123?99=XYZ', 'GS1_LINK'],
    ['https://example.com/01/09520123456788?99=XYZ&89=ABC123', 'GS1_UNKNOWN_AI'],
  ])('%s is wrong: %s', (uri, code) => {
    expect(read(uri)).toBe(code);
  });

  it('says at which character of the scanned text a value is wrong', () => {
    const text = ']Q1https://id.example.org/01/09521234543214/10/EY2406A';
    expect(error(scanned(text))).toMatchObject({ code: 'GS1_CHECK_DIGIT', at: text.indexOf('0952') + 1 });
    const query = ']Q1https://id.example.org/01/09521234543213?x=1&17=271301';
    expect(error(scanned(query))).toMatchObject({ code: 'GS1_DATE', at: query.indexOf('271301') + 1 });
  });
});

function percent(text: string): string {
  return [...text].map((c) => `%${c.charCodeAt(0).toString(16).padStart(2, '0')}`).join('');
}
