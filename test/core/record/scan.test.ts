import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { canonicalText } from '../../../src/core/record/record.js';
import { plainNumbers } from '../../../src/core/record/scan.js';

describe('A scan of canonical text', () => {
  it.each([
    ['{"a":"x","seq":5}', [['seq', 5]]],
    [
      '{"a":[],"b":{},"c":[1,{"d":null}],"n":-12,"seq":0,"t":true}',
      [
        ['n', -12],
        ['seq', 0],
      ],
    ],
    ['{}', []],
  ])('finds the numbers at the top of %s', (text, numbers) => {
    expect([...(plainNumbers(text) ?? [])]).toEqual(numbers);
    expect(canonicalText(JSON.parse(text))).toBe(text);
  });

  it.each([
    '{"b":1,"a":2}',
    '{"a":1,"a":2}',
    '{"a": 1}',
    '{"a":1} ',
    ' {"a":1}',
    '{"a":01}',
    '{"a":-0}',
    '{"a":1.0}',
    '{"a":1e3}',
    '{"a":9007199254740993}',
    '{"a":"\\u0041"}',
    '{"a":1',
    '{"a":1,}',
    '{"a":[1,]}',
    '{"a":tru}',
    '{"a"}',
    '[1]',
    '1',
    '',
    '{"a":1}}',
    '{"a":"x}',
    '{a:1}',
    '{"a":+1}',
    '{"a":\t1}',
  ])('leaves %s to the parser', (text) => {
    expect(plainNumbers(text)).toBeNull();
  });

  it('never takes for canonical what is not, whatever is done to a canonical text', () => {
    const changed = fc.tuple(
      fc.json(),
      fc.nat(),
      fc.constantFrom('', ' ', '"', ',', '0', '1', '-', '{', '}', 'a', '\\', ':'),
    );
    fc.assert(
      fc.property(changed, ([json, place, put]) => {
        const text = canonicalText({ seq: 1, value: JSON.parse(json) as unknown });
        const at = place % (text.length + 1);
        for (const each of [
          text,
          text.slice(0, at) + put + text.slice(at + 1),
          text.slice(0, at) + put + text.slice(at),
        ]) {
          if (plainNumbers(each) !== null) expect(canonicalText(JSON.parse(each))).toBe(each);
        }
      }),
      { numRuns: 500 },
    );
  });
});
