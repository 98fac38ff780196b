import { describe, expect, it } from '@jest/globals';
import { isInstant, readInstant } from '../../../src/core/time/instant.js';

describe('readInstant', () => {
  // RFC 3339 section 5.8 gives the second and third, which name the same moment as written and in UTC.
  it.each([
    ['2026-11-25T09:08:17.000Z', '2026-11-25T09:08:17.000Z'],
    ['1985-04-12T23:20:50.52Z', '1985-04-12T23:20:50.520Z'],
    ['1996-12-19T16:39:57-08:00', '1996-12-20T00:39:57.000Z'],
    ['2028-02-29T00:00:00Z', '2028-02-29T00:00:00.000Z'],
  ])('reads %s', (text, instant) => {
    expect(readInstant(text)).toBe(instant);
  });

  it.each([
    '2026-02-30T00:00:00.000Z',
    '2026-11-25T24:00:00.000Z',
    '2026-11-25T09:08:60.000Z',
    '2026-11-25T09:08:17.000',
    '2026-11-25T09:08Z',
    '2026-11-25T09:08:17.0001Z',
    '2026-11-25T09:08:17.000+25:00',
    '2026-11-25',
    '25/11/2026 09:08',
    'now',
    '',
  ])('refuses %p and says how it is written', (text) => {
    expect(() => readInstant(text)).toThrow(
      expect.objectContaining({ code: 'bad-instant', message: expect.stringContaining('2026-11-25T09:08:17.000Z') }),
    );
  });

  it('refuses what an offset moves out of the years that sort as text', () => {
    expect(() => readInstant('9999-12-31T23:00:00-02:00')).toThrow(expect.objectContaining({ code: 'out-of-range' }));
  });
});

describe('isInstant', () => {
  it('knows the one form that sorts as time, on days and at times that exist', () => {
    // The leap years of 1900 and 2000: ISO 8601-1:2019, clause number from memory.
    for (const at of ['2026-11-25T09:08:17.000Z', '2000-02-29T23:59:59.999Z']) expect(isInstant(at)).toBe(true);
    for (const at of [
      '1900-02-29T00:00:00.000Z',
      '2026-02-30T00:00:00.000Z',
      '2026-11-25T24:00:00.000Z',
      '2026-11-25T09:08:17Z',
      '2026-11-25T09:08:17.000+00:00',
      '+010000-01-01T00:00:00.000Z',
      '',
      null,
      0,
    ])
      expect(isInstant(at)).toBe(false);
  });
});
