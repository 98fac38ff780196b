import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { type Keyed, keyOf, SCAN_SPEED, ScanReader } from '../../src/web/parts/scan.js';

/** Feeds keys with the pause before each, as a page would, settling whenever no key came in time. */
function feed(keys: [key: string, pauseMs: number][]): Keyed[] {
  const reader = new ScanReader();
  let at = 1000;
  const told: Keyed[] = [];
  for (const [key, pause] of keys) {
    at += pause;
    if (pause > SCAN_SPEED.gapMs) told.push(...reader.settle());
    told.push(...reader.key(key, at));
  }
  return [...told, ...reader.settle()];
}

const fast = (text: string, end?: string): [string, number][] => [
  ...[...text].map((key): [string, number] => [key, 8]),
  ...(end ? [[end, 8] as [string, number]] : []),
];

describe('scan reader', () => {
  it.each(['Enter', 'Tab', undefined])('takes a fast run of keys for a scan, ended by %s', (end) => {
    expect(feed(fast('SW1:C:A0-00174', end))).toEqual([{ kind: 'scan', text: 'SW1:C:A0-00174' }]);
  });

  it('leaves a single key, such as a foot pedal, to the page', () => {
    expect(feed([[' ', 500]])).toEqual([{ kind: 'keys', keys: [' '] }]);
    expect(feed([['Enter', 500]])).toEqual([{ kind: 'keys', keys: ['Enter'] }]);
  });

  it('keeps a key typed just before a scan apart from it', () => {
    expect(feed([['x', 500], ['9', 200], ...fast('78123456', 'Enter')])).toEqual([
      { kind: 'keys', keys: ['x'] },
      { kind: 'scan', text: '978123456' },
    ]);
  });

  it('separates two scans that follow one another', () => {
    expect(feed([...fast('ABCDEF', 'Enter'), ...fast('GHIJKL', 'Enter')])).toEqual([
      { kind: 'scan', text: 'ABCDEF' },
      { kind: 'scan', text: 'GHIJKL' },
    ]);
  });

  it('gives back any text sent at a scanner’s speed', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.tuple(fc.constantFrom(...'0123456789ABCXYZ:()-/\u001d'), fc.integer({ min: 1, max: SCAN_SPEED.gapMs })),
          { minLength: SCAN_SPEED.leastKeys, maxLength: 90 },
        ),
        (keys) => {
          expect(feed([...keys, ['Enter', 5]])).toEqual([{ kind: 'scan', text: keys.map(([key]) => key).join('') }]);
        },
      ),
    );
  });

  it('never takes keys at a person’s speed for a scan, and loses none', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.tuple(fc.constantFrom(...'abc 123', 'Enter'), fc.integer({ min: SCAN_SPEED.gapMs + 1, max: 400 })),
          { maxLength: 40 },
        ),
        (keys) => {
          const told = feed(keys);
          expect(told.every(({ kind }) => kind === 'keys')).toBe(true);
          expect(told.flatMap((each) => (each.kind === 'keys' ? each.keys : []))).toEqual(keys.map(([key]) => key));
        },
      ),
    );
  });
});

describe('key of an event', () => {
  const plain = { ctrlKey: false, altKey: false, metaKey: false };
  it('reads the separator of GS1 elements as wedge scanners send it', () => {
    expect(keyOf({ ...plain, key: ']', ctrlKey: true })).toBe('\u001d');
  });
  it('ignores what means nothing alone and shortcuts of the browser', () => {
    expect(keyOf({ ...plain, key: 'Shift' })).toBeNull();
    expect(keyOf({ ...plain, key: 'r', ctrlKey: true })).toBeNull();
    expect(keyOf({ ...plain, key: 'F13' })).toBe('F13');
  });
});
