import { describe, expect, it } from '@jest/globals';
import {
  checkInstrumentAct,
  dueAgain,
  type InstrumentAct,
  type InstrumentFacts,
  instrumentFaults,
  stationAt,
} from '../../../src/core/instruments/instrument.js';

const act = (changes: Partial<InstrumentAct>): InstrumentAct => ({
  kind: 'calibrated',
  at: '2026-03-02T09:00:00.000Z',
  passed: true,
  until: '2027-03-03T00:00:00.000Z',
  station: null,
  ...changes,
});
const facts = (acts: InstrumentAct[], calibrated = true): InstrumentFacts => ({
  id: 'i1',
  code: 'TH-04',
  name: 'Bath thermometer',
  calibrated,
  acts,
});
const AT = '2026-11-25T10:00:00.000Z';
const serviced = act({ kind: 'serviced', until: '2026-11-25T10:00:00.000Z' });
const out = act({ kind: 'taken out of use', at: '2026-11-20T09:00:00.000Z', passed: null, until: null });
const back = act({ kind: 'returned to use', at: '2026-11-21T09:00:00.000Z', passed: null, until: null });

// 42 CFR 493.1254; ISO 15189:2022 6.5.
describe('What speaks against an instrument', () => {
  it.each([
    ['nothing once calibrated', facts([act({})]), AT, []],
    ['never calibrated', facts([]), AT, ['uncalibrated']],
    ['nothing where no calibration is needed', facts([], false), AT, []],
    [
      'a calibration that failed',
      facts([act({}), act({ at: AT, passed: false, until: null })]),
      AT,
      ['calibration-failed'],
    ],
    ['a calibration that is over, at its very end', facts([act({})]), '2027-03-03T00:00:00.000Z', ['calibration-over']],
    ['nothing an instant before', facts([act({})]), '2027-03-02T23:59:59.999Z', []],
    ['a service that is due', facts([act({}), serviced]), AT, ['service-over']],
    ['that it is out of use', facts([act({}), out]), AT, ['out-of-use']],
    ['nothing once it is back', facts([act({}), back, out]), AT, []],
    ['only what was known then', facts([act({}), out]), '2026-11-19T09:00:00.000Z', []],
  ])('%s', (_, known, at, faults) => {
    expect(instrumentFaults(known, at).map(({ fault }) => fault)).toEqual(faults);
  });

  it('stands where it was last moved, and is due again when its last checks say', () => {
    const moved = (at: string, station: string) => act({ kind: 'moved', at, station, passed: null, until: null });
    const known = facts([
      moved('2026-10-01T09:00:00.000Z', 'B'),
      moved('2026-09-01T09:00:00.000Z', 'A'),
      act({}),
      serviced,
    ]);
    expect(stationAt(known, '2026-09-30T09:00:00.000Z')).toBe('A');
    expect(stationAt(known, AT)).toBe('B');
    expect(stationAt(known, '2026-08-01T09:00:00.000Z')).toBeNull();
    expect(dueAgain(known, AT)).toEqual({
      calibration: '2027-03-03T00:00:00.000Z',
      service: '2026-11-25T10:00:00.000Z',
    });
  });

  it.each([
    [act({ at: '2026-11-26T00:00:00.000Z' }), /future/],
    [act({ passed: null }), /whether it passed/],
    [act({ until: null }), /last day/],
    [act({ until: '2026-03-02T09:00:00.000Z' }), /over before it began/],
    [act({ kind: 'moved', passed: null, until: null }), /where it stands/],
    [act({ kind: 'taken out of use' }), /Only a calibration or a service/],
  ])('refuses an act that is not whole: %#', (wrong, message) => {
    expect(() => checkInstrumentAct(wrong, AT)).toThrow(message);
  });
});
