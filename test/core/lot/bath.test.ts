import { describe, expect, it } from '@jest/globals';
import { type BathFacts, bathDue } from '../../../src/core/lot/bath.js';
import { unusableReasons } from '../../../src/core/lot/validity.js';

const at = (time: string) => `2026-11-25T${time}:00.000Z`;
// 75 slides or 7 days a jar: a published change rule for portable 50 mL jars (common practice); 62 used leaves one rack of 10.
const jar = (changes: Partial<BathFacts> = {}): BathFacts => ({
  maxSlides: 75,
  passed: [
    { at: at('08:00'), slides: 40, runId: 'a' },
    { at: at('09:00'), slides: 22, runId: 'b' },
  ],
  filterEvery: 'P0D',
  filtered: [
    { at: '2026-11-24T07:00:00.000Z', until: '2026-11-25T01:00:00.000Z' },
    { at: at('07:30'), until: '2026-11-26T01:00:00.000Z' },
  ],
  ...changes,
});
const life = [{ by: 'prepared' as const, until: '2026-12-01T01:00:00.000Z' }];
const codes = (bath: BathFacts, time: string) =>
  unusableReasons(
    {
      containerId: 'SW1:P:JAR',
      reagent: 'romanowsky-thiazine',
      wanted: ['romanowsky-thiazine'],
      lotStanding: [{ at: at('07:00'), standing: 'accepted' }],
      condition: [{ at: at('07:00'), state: 'opened' }],
      limits: life,
      bath,
      forPatients: true,
    },
    { at: time, uncertaintyMs: 0 },
  ).map(({ code }) => code);

describe('a bath', () => {
  it('tells what went through it, what is left and when it is changed, before that is overdue', () => {
    expect(bathDue({ limits: life, bath: jar() }, at('10:00'))).toEqual({
      passed: 62,
      left: 13,
      filterDueAt: '2026-11-26T01:00:00.000Z',
      filterDue: false,
      changeDueAt: '2026-12-01T01:00:00.000Z',
      changeBy: 'prepared',
      changeDue: false,
      soon: false,
    });
    expect(bathDue({ limits: life, bath: jar() }, at('08:30'))).toMatchObject({ passed: 40, left: 35 });
    const nearly = jar({ passed: [{ at: at('08:00'), slides: 68, runId: 'a' }] });
    expect(bathDue({ limits: life, bath: nearly }, at('10:00'))).toMatchObject({
      left: 7,
      soon: true,
      changeDue: false,
    });
    const full = jar({ passed: [{ at: at('08:00'), slides: 75, runId: 'a' }] });
    expect(bathDue({ limits: life, bath: full }, at('10:00'))).toMatchObject({
      left: 0,
      changeDueAt: at('08:00'),
      changeBy: 'slides',
      changeDue: true,
      soon: false,
    });
    expect(bathDue({ limits: life, bath: jar() }, '2026-11-30T01:00:00.000Z')).toMatchObject({ soon: true });
    expect(bathDue({ limits: life, bath: jar() }, '2026-12-01T01:00:00.000Z')).toMatchObject({ changeDue: true });
    expect(bathDue({ limits: life }, at('10:00'))).toBeNull();
    expect(bathDue({ limits: [], bath: jar({ maxSlides: null, filtered: [] }) }, at('10:00'))).toMatchObject({
      left: null,
      changeDueAt: null,
      filterDueAt: null,
      soon: false,
    });
  });

  it('speaks against its use beyond its load or unfiltered, at that act', () => {
    expect(codes(jar(), at('10:00'))).toEqual([]);
    const more = (slides: number) => jar({ passed: [...jar().passed, { at: at('10:00'), slides, runId: 'c' }] });
    // The last slide that it may stain is still right; the one after it is not, and earlier acts stay as they were.
    expect(codes(more(13), at('10:00'))).toEqual([]);
    expect(codes(more(14), at('10:00'))).toEqual(['bath-load']);
    expect(codes(more(14), at('09:59'))).toEqual([]);
    expect(codes(jar(), '2026-11-26T00:59:59.999Z')).toEqual([]);
    expect(codes(jar(), '2026-11-26T01:00:00.000Z')).toEqual(['filter-due']);
    expect(codes(jar(), at('07:00'))).toEqual(['filter-due']);
  });
});
