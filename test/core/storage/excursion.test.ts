import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { readUtf8 } from '../../../src/core/file/utf8.js';
import { exposed, excursionChanges, type ExcursionSpan, type Reading } from '../../../src/core/storage/excursion.js';
import { isOutside } from '../../../src/core/storage/place.js';
import { MOST_READINGS, readTemperatureRows } from '../../../src/core/storage/temperature-file.js';

const FRIDGE = { min: 2, max: 8 };
const at = (minute: number): string => new Date(Date.UTC(2026, 10, 25, 8, minute)).toISOString();
const reading = (minute: number, celsius: number): Reading => ({ at: at(minute), celsius });

describe('Excursions', () => {
  it('begin with the first reading outside and end with the next one inside', () => {
    const all = [reading(0, 5), reading(10, 9), reading(20, 10), reading(30, 8), reading(40, 1)];
    expect(excursionChanges(FRIDGE, all, all, [])).toEqual({
      opened: [
        { from: at(10), until: at(30) },
        { from: at(40), until: null },
      ],
      ended: [],
    });
  });

  it('that were open end with a later reading inside', () => {
    const known: ExcursionSpan[] = [{ from: at(10), until: null }];
    const back = [reading(50, 7)];
    expect(excursionChanges(FRIDGE, back, [reading(10, 9), ...back], known)).toEqual({
      opened: [],
      ended: [{ from: at(10), until: at(50) }],
    });
    const worse = [reading(60, 12)];
    expect(excursionChanges(FRIDGE, worse, [reading(10, 9), ...worse], known)).toEqual({ opened: [], ended: [] });
  });

  it('of a late reading last until the next one inside that was known before', () => {
    const all = [reading(0, 5), reading(15, 11), reading(30, 5)];
    expect(excursionChanges(FRIDGE, [reading(15, 11)], all, []).opened).toEqual([{ from: at(15), until: at(30) }]);
  });

  it('cover every reading outside and none inside, in whatever parts the readings come', () => {
    fc.assert(
      fc.property(
        fc.uniqueArray(fc.tuple(fc.integer({ min: 0, max: 500 }), fc.integer({ min: -2, max: 12 })), {
          selector: ([minute]) => minute,
          minLength: 1,
          maxLength: 30,
        }),
        fc.integer({ min: 1, max: 5 }),
        (pairs, size) => {
          const readings = pairs.map(([minute, celsius]) => reading(minute, celsius));
          const inOrder = [...readings].sort((a, b) => (a.at < b.at ? -1 : 1));
          let known: ExcursionSpan[] = [];
          const seen: Reading[] = [];
          for (let n = 0; n < inOrder.length; n += size) {
            const part = inOrder.slice(n, n + size);
            seen.push(...part);
            const { opened, ended } = excursionChanges(FRIDGE, part, seen, known);
            known = [...known.map((each) => ended.find(({ from }) => from === each.from) ?? each), ...opened];
          }
          for (const each of inOrder) {
            const within = known.some(({ from, until }) => from <= each.at && (until === null || each.at < until));
            expect(within).toBe(isOutside(each.celsius, FRIDGE));
          }
        },
      ),
    );
  });

  it('touch what lay there meanwhile, from when it was in it', () => {
    const span = { from: at(10), until: at(30) };
    const stay = (containerId: string, from: number, until: number | null) => ({
      ...{ containerId, from: at(from), until: until === null ? null : at(until) },
    });
    const stays = [
      stay('there', 0, null),
      stay('came', 20, null),
      stay('left', 0, 10),
      stay('late', 30, null),
      stay('out', 0, 15),
    ];
    expect(exposed(stays, span)).toEqual([
      { containerId: 'there', from: at(10) },
      { containerId: 'came', from: at(20) },
      { containerId: 'out', from: at(10) },
    ]);
    expect(exposed([stay('late', 30, null)], { from: at(10), until: null })).toEqual([
      { containerId: 'late', from: at(30) },
    ]);
  });
});

describe('A file of temperatures', () => {
  const read = (rows: string[][], known: Reading[] = []) =>
    readTemperatureRows(rows, { zone: 'Atlantic/Azores', now: '2026-11-25T12:00:00.000Z', known });
  const HEAD = ['time', 'temperature', 'unit'];

  it('holds instants or local times, and any unit of temperature', () => {
    const { readings, problems } = read([
      ['Temperature', ' time ', 'unit'],
      ['4.5', '2026-11-25 08:00', ''],
      ['278.15', '2026-11-25T08:30:00Z', 'K'],
    ]);
    expect(problems).toEqual([]);
    // The Azores keep UTC-1 in winter (IANA time zone database).
    expect(readings).toEqual([
      { at: '2026-11-25T08:30:00.000Z', celsius: 5 },
      { at: '2026-11-25T09:00:00.000Z', celsius: 4.5 },
    ]);
  });

  it('names every bad row by number and column, and what would be right', () => {
    const { problems } = read(
      [
        HEAD,
        ['2026-11-25T08:00:00Z', '4,5', 'Cel'],
        ['25.11.2026 08:10', '4.5', 'Cel'],
        ['2026-11-25T08:20:00Z', '4.5', 'mL'],
        ['2026-11-25T13:00:00Z', '4.5', 'Cel'],
        ['2026-11-25T08:30:00Z', '4.5', 'Cel'],
        ['2026-11-25T08:30:00Z', '4.6', 'Cel'],
        ['2026-11-25T08:40:00Z', '6', 'Cel'],
        ['2026-11-25T08:50:00Z', '', 'Cel'],
      ],
      [{ at: '2026-11-25T08:40:00.000Z', celsius: 5 }],
    );
    expect(problems.map(({ at: where }) => where)).toEqual([
      'row 2, temperature',
      'row 3, time',
      'row 4, unit',
      'row 5, time',
      'row 7, temperature',
      'row 8, temperature',
      'row 9, temperature',
    ]);
    expect(problems[0]?.message).toContain('write 4.5');
    expect(problems[3]?.message).toContain('future');
  });

  it('leaves out what is known, and refuses names that are missing, no rows and too many', () => {
    const known = [{ at: '2026-11-25T08:30:00.000Z', celsius: 4.5 }];
    expect(read([HEAD, ['2026-11-25T08:30:00Z', '4.5', '']], known)).toEqual({
      readings: [],
      repeated: 1,
      problems: [],
    });
    expect(read([['when', 'temperature']]).problems).toEqual([
      { at: 'row 1', message: expect.stringContaining('called time') },
    ]);
    expect(read([HEAD]).problems[0]?.at).toBe('row 2');
    const many = Array.from({ length: MOST_READINGS + 1 }, () => ['2026-11-25T08:30:00Z', '4.5', '']);
    expect(read([HEAD, ...many]).problems).toEqual([{ at: '', message: expect.stringContaining('split it') }]);
  });

  it('is UTF-8 or is refused with the byte that shows it', () => {
    expect(readUtf8(new TextEncoder().encode('\uFEFFtime µ'))).toBe('time µ');
    expect(() => readUtf8(new Uint8Array([0x61, 0x62, 0xb0, 0x43]))).toThrow('byte 3');
    expect(() => readUtf8(new Uint8Array([0xff, 0xfe, 0x74, 0x00]))).toThrow('UTF-16');
    expect(() => readUtf8(new Uint8Array([0x61, 0xc3]))).toThrow('byte 2');
  });
});
