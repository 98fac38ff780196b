import { describe, expect, it } from '@jest/globals';
import type { Finding } from '../../../src/core/gate/finding.js';
import type { InstrumentAct } from '../../../src/core/instruments/instrument.js';
import type { RunEvent } from '../../../src/core/run/events.js';
import { bearsOn, stepsUpTo } from '../../../src/core/second-look/bears.js';
import {
  askedByLookback,
  lookStanding,
  secondNeeded,
  upheldMark,
  withoutLookbacks,
  worseThan,
} from '../../../src/core/second-look/second-look.js';
import { instrumentPeriod } from '../../../src/core/second-look/stays.js';
import { Scribe, shipped } from '../../support/bedside.js';

function finding(id: string, changes: Partial<Finding> = {}): Finding {
  const rule = id.split(':')[0] ?? '';
  const base = { rule, weight: 'stop', subjectId: null, what: `${id}.`, at: null, measured: null } as const;
  return { ...base, id, against: null, mend: 'mend it', source: '', excusable: true, settled: false, ...changes };
}

const long = finding('step-long:dye');
const caution = finding('step-short:rinse', { weight: 'caution' });

describe('Worse than it was released', () => {
  it.each([
    ['a stop that was not there', [long], [], ['step-long:dye']],
    ['an open caution that was not there', [caution], [], ['step-short:rinse']],
    ['a note is not', [finding('entered-late:run', { weight: 'note' })], [], []],
    ['a caution that is acknowledged is not', [{ ...caution, settled: true }], [], []],
    ['a stop that it went out over is not', [long], [long], []],
    ['a stop that had been resolved then is', [long], [{ ...long, settled: true }], ['step-long:dye']],
    ['a stop on other facts is', [{ ...long, what: 'Two minutes.' }], [long], ['step-long:dye']],
    ['a caution that is a stop now is', [{ ...caution, weight: 'stop' as const }], [caution], ['step-short:rinse']],
  ])('%s', (_name, now, known, worse) => {
    expect(worseThan(now, known).map(({ id }) => id)).toEqual(worse);
  });

  it('leaves to a lookback what it asks of already', () => {
    const recalled = finding('lot-recalled:c1');
    expect([askedByLookback([long]), askedByLookback([long, recalled])]).toEqual([false, true]);
    expect(withoutLookbacks([long, recalled], [recalled])).toEqual([long]);
    expect(withoutLookbacks([recalled], [{ ...recalled, what: 'Used after the recall.' }])).toEqual([recalled]);
  });
});

describe('Where a release stands by second looks', () => {
  const asked = (seq: number, outcome?: 'worsened' | 'holds as it did', at = seq + 1) => ({
    seq,
    answer: outcome === undefined ? null : { seq: at, outcome },
  });
  it.each([
    ['nothing asked', [], 0, null],
    ['not answered yet', [asked(5)], 0, 'looked at again'],
    ['answered: it holds', [asked(5, 'holds as it did')], 0, null],
    ['answered: worse', [asked(5, 'worsened'), asked(9)], 0, 'in question'],
    [
      'one that holds afterwards does not undo it',
      [asked(5, 'worsened'), asked(9, 'holds as it did')],
      0,
      'in question',
    ],
    ['upheld', [asked(5, 'worsened')], 7, null],
    ['upheld before the answer was kept', [asked(5, 'worsened', 8)], 7, 'in question'],
    ['upheld without an answer', [asked(5)], 7, null],
    ['asked anew after it was upheld', [asked(5, 'worsened'), asked(8)], 7, 'looked at again'],
  ] as const)('%s', (_name, questions, upheld, standing) => {
    expect(lookStanding(questions, upheld)).toBe(standing);
  });

  it('takes two signatures over a stop, one over a caution, and none over what can never be gone over', () => {
    expect([secondNeeded([]), secondNeeded([caution]), secondNeeded([caution, long])]).toEqual([false, false, true]);
    expect(() => secondNeeded([finding('point-not-reached:run')])).toThrow(/withdraw it/);
    expect(upheldMark([long], 'Two looked.')).toBe(
      'Looked at again and upheld over: step-long:dye. Reason: Two looked.',
    );
  });
});

describe('An event recorded after a release bears on it', () => {
  const protocol = shipped('ao-fresh');
  const point = protocol.releasePoints[0]?.id ?? '';
  const first = stepsUpTo(protocol, point)[0];
  const reagent = stepsUpTo(protocol, point).find((step) => step.reagent !== undefined)?.reagent ?? '';
  const letOut = { subjectId: 'core-1', point, at: '2026-11-25T10:00:00.000Z' };
  const scribe = new Scribe({
    ...protocol,
    releasePoints: [{ ...protocol.releasePoints[0], id: point, after: first?.id ?? '' } as never],
  });
  const later = protocol.steps.at(-1)?.id ?? '';
  const started = scribe.add('step-started', { step: first?.id ?? '' });
  const noted = scribe.add('noted', { text: 'n' });
  const identity = scribe.add('identity-confirmed', { subject: 'core-1' });
  const correction = scribe.add('corrected', { event: identity.id, withdrawn: true, reason: 'r' });
  const after = { at: '2026-11-25T10:30:00.000Z' };
  const cases: [string, RunEvent, boolean][] = [
    ['a step that it rests on', started, true],
    ['a step after its point', scribe.add('step-started', { step: later }), false],
    ['its correction', scribe.add('corrected', { event: started.id, at: letOut.at, reason: 'r' }), true],
    ['a note', noted, false],
    ['a note corrected', scribe.add('corrected', { event: noted.id, withdrawn: true, reason: 'r' }), false],
    ['an identity confirmed', identity, false],
    ['an identity taken back', correction, true],
    ['that taken back again', scribe.add('corrected', { event: correction.id, withdrawn: true, reason: 'r' }), true],
    ['an identity of another', scribe.add('subject-spoiled', { subject: 'core-2', what: 'lost' }), false],
    ['its own specimen spoiled', scribe.add('subject-spoiled', { subject: 'core-1', what: 'lost' }), true],
    ['a doubt resolved against it', scribe.add('resolved', { finding: 'f', conforms: false, reason: 'r' }), true],
    ['a doubt resolved for it', scribe.add('resolved', { finding: 'f', conforms: true, reason: 'r' }), false],
    ['the run abandoned', scribe.add('abandoned', { reason: 'r' }), true],
  ];
  const used = new Scribe(protocol);
  it.each(cases)('%s', (_name, event, bears) => {
    expect(bearsOn(event, scribe.events, scribe.protocol, letOut)).toBe(bears);
  });

  it.each([
    ['a scan of before it', {}, true],
    ['a scan of after it', after, false],
    ['a scan of after it, typed in late', { ...after, late: true }, true],
  ])('%s', (_name, stamp, bears) => {
    const event = used.add('tray-scanned', { reagent, container: 'c1' }, stamp);
    expect(bearsOn(event, used.events, protocol, letOut)).toBe(bears);
  });
});

// ISO 15189:2022 6.4.5 (from memory): of faulty equipment the effect on earlier results is examined.
describe('The time for which an act on an instrument counts', () => {
  const act = (kind: InstrumentAct['kind'], day: number, changes: Partial<InstrumentAct> = {}): InstrumentAct => ({
    kind,
    at: `2026-11-0${day}T08:00:00.000Z`,
    passed: null,
    until: null,
    station: null,
    ...changes,
  });
  const moved = act('moved', 1, { station: 'A' });
  const passed = act('calibrated', 2, { passed: true });
  it.each([
    ['of a check that failed: since the last that passed', act('calibrated', 5, { passed: false }), passed.at, null],
    ['of a check that passed: from then on', act('calibrated', 5, { passed: true }), act('moved', 5).at, null],
    ['of one told of late: until the next like it', act('calibrated', 1, { passed: true }), moved.at, passed.at],
    ['of the first check, which failed: ever', act('serviced', 3, { passed: false }), null, null],
    [
      'of what was taken out of use: until it came back',
      act('taken out of use', 3),
      act('moved', 3).at,
      act('moved', 4).at,
    ],
  ])('%s', (_name, each, since, until) => {
    const before = [moved, passed, act('returned to use', 4)];
    const stays = [{ station: 'A', from: moved.at, until: null }];
    expect(instrumentPeriod(each, before)).toEqual({ stays, since, until });
  });

  it('of one that was moved: where it was thought to stand as well', () => {
    expect(instrumentPeriod(act('moved', 3, { station: 'B' }), [moved]).stays).toEqual([
      { station: 'A', from: moved.at, until: act('moved', 3).at },
      { station: 'B', from: act('moved', 3).at, until: null },
      { station: 'A', from: moved.at, until: null },
    ]);
  });
});
