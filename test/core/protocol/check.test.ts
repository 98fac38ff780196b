import { describe, expect, it } from '@jest/globals';
import { checkCatalogue, checkProtocol, checkSources, GHS_CODE } from '../../../src/core/protocol/check.js';
import type { Protocol } from '../../../src/core/protocol/protocol.js';
import { shipped, vocabulary } from './sample.js';

function found(id: string, change: (protocol: Protocol) => void): string[] {
  const protocol = shipped(id);
  change(protocol);
  return checkProtocol(protocol, vocabulary).map((problem) => `${problem.code} ${problem.path.join('/')}`);
}

describe('rules across the fields of a protocol', () => {
  it('find nothing in a shipped one', () => expect(found('ao-fresh', () => undefined)).toEqual([]));

  it.each<[string, string, (protocol: Protocol) => void]>([
    ['min above target', 'disorder steps/2/time/min', (p) => (p.steps[2]!.time.min = 21)],
    ['target above max', 'disorder steps/2/time/max', (p) => (p.steps[2]!.time.target = 31)],
    ['min above max', 'disorder steps/2/time/min', (p) => (p.steps[2]!.time.min = 40)],
    ['a minimum of nothing', 'empty-minimum steps/2/time/min', (p) => (p.steps[2]!.time.min = 0)],
    ['a gap before the first step', 'gap-before-first steps/0/gap', (p) => (p.steps[0]!.gap = p.steps[1]!.gap!)],
    ['an unknown reagent', 'unknown-reagent steps/2/reagent', (p) => (p.steps[2]!.reagent = 'acridine-red')],
    ['a value without its unit', 'half-quantity steps/2/concentration', (p) => delete p.steps[2]!.concentration!.unit],
    ['a unit of another measure', 'unit steps/2/concentration/unit', (p) => (p.steps[2]!.concentration!.unit = 'mL')],
    [
      'a temperature in coulomb',
      'unit steps/2/temperature/unit',
      (p) => (p.steps[2]!.temperature = { target: 22, unit: 'C', status: 'proposal' }),
    ],
    [
      'a temperature above its limit',
      'disorder steps/2/temperature/max',
      (p) => (p.steps[2]!.temperature = { target: 42, max: 40, unit: 'Cel', status: 'proposal' }),
    ],
    ['a take without a reagent', 'take-of-nothing steps/5/takes', (p) => (p.steps[5]!.takes = p.steps[2]!.takes!)],
    ['a take of nothing', 'empty-take steps/2/takes/amount', (p) => (p.steps[2]!.takes!.amount = 0)],
    ['a take of mass from a volume', 'unit steps/2/takes/unit', (p) => (p.steps[2]!.takes!.unit = 'mg')],
    ['a take in a unit that is none', 'unit steps/2/takes/unit', (p) => (p.steps[2]!.takes!.unit = 'µL')],
    ['two steps of one id', 'duplicate steps/3/id', (p) => (p.steps[3]!.id = 'dye')],
    ['two controls of one id', 'duplicate controls/1/id', (p) => (p.controls[1]!.id = 'positive')],
    [
      'a release after an unknown step',
      'unknown-step releasePoints/0/after',
      (p) => (p.releasePoints[0]!.after = 'imaging'),
    ],
    [
      'a release after a step that may be left out',
      'optional-step releasePoints/0/after',
      (p) => (p.steps[5]!.optional = true),
    ],
    ['a source that is not listed', 'unknown-source sources/0', (p) => (p.sources[0] = 'karen2010')],
    [
      'a source of fitness that is not listed',
      'unknown-source fitness/4/sources/0',
      (p) => (p.fitness[4]!.sources[0] = 'nobody'),
    ],
    [
      'a caution without a listed source',
      'unknown-source cautions/0/source',
      (p) => (p.cautions[0]!.source = 'nobody'),
    ],
    ['words among hazard codes', 'ghs-code cautions/0/codes/0', (p) => (p.cautions[0]!.codes[0] = 'H341 possible')],
  ])('find %s', (_name, problem, change) => {
    expect(found('ao-fresh', change)).toEqual([problem]);
  });

  it('find release points out of the order of their steps', () => {
    expect(
      found('ao-fresh', (p) => p.releasePoints.push({ id: 'early', title: 'Early', of: 'specimen', after: 'dye' })),
    ).toEqual(['release-order releasePoints/1/after']);
  });
});

describe('controls that a category asks for', () => {
  const MISSING = ['missing-control controls'];

  // 42 CFR 493.1256(e)(3) and 493.1273(a): positive and negative, each time of use.
  it.each(['ao-fresh', 'ihc-dab'])(
    '%s: the positive and the negative, required, at each use, never the day’s',
    (id) => {
      for (const kind of ['positive', 'negative'] as const) {
        const change = (edit: (control: Protocol['controls'][number]) => void) => (p: Protocol) =>
          p.controls.filter((control) => control.kind === kind).forEach(edit);
        expect(
          found(
            id,
            change((control) => (control.when = 'each day of use')),
          ),
        ).toEqual(MISSING);
        expect(
          found(
            id,
            change((control) => (control.when = 'each group of slides')),
          ),
        ).toEqual(MISSING);
        expect(
          found(
            id,
            change((control) => (control.required = false)),
          ),
        ).toEqual(MISSING);
        expect(found(id, (p) => (p.controls = p.controls.filter((control) => control.kind !== kind)))).toEqual(MISSING);
      }
    },
  );

  // 42 CFR 493.1273(a): a control slide with each patient slide or group of patient slides.
  it('special: one with each group of slides; at each use is tighter and does', () => {
    expect(found('pas', (p) => (p.controls[0]!.when = 'each day of use'))).toEqual(MISSING);
    expect(found('pas', (p) => (p.controls[0]!.when = 'each use'))).toEqual([]);
    expect(found('pas', (p) => (p.controls = []))).toEqual(MISSING);
  });

  // 42 CFR 493.1261(a)(2): Gram stain each week of use; 493.1264(c): permanent stains for parasites each month of use.
  it('the longer clocks of the law need the law among their sources, and hold for no other clock', () => {
    expect(found('gram-smear', () => undefined)).toEqual([]);
    expect(found('gram-smear', (p) => (p.controls[0]!.sources = ['common']))).toEqual(MISSING);
    expect(found('gram-smear', (p) => (p.controls[0]!.when = 'each month of use'))).toEqual(MISSING);
    expect(
      found('gram-smear', (p) => {
        p.controls[0]!.when = 'each month of use';
        p.controls[0]!.sources = ['cfr1264'];
      }),
    ).toEqual([]);
    expect(
      found('ao-fresh', (p) => {
        p.controls[0]!.when = 'each week of use';
        p.controls[0]!.sources = ['cfr1261'];
      }),
    ).toEqual(MISSING);
  });

  // 42 CFR 493.1256(e)(2): each day of use.
  it('routine: one each day of use', () => {
    expect(found('he-gill', (p) => (p.controls[0]!.when = 'each week of use'))).toEqual(MISSING);
    expect(found('he-gill', (p) => (p.controls[0]!.when = 'each group of slides'))).toEqual([]);
  });

  it('says which control and which rule', () => {
    const protocol = shipped('ao-fresh');
    protocol.controls = protocol.controls.filter((control) => control.kind !== 'negative');
    expect(checkProtocol(protocol, vocabulary)[0]?.message).toBe(
      'a protocol of category "fluorescent" needs a required negative control at "each use" (42 CFR 493.1256(e)(3) and 493.1273(a)); add one',
    );
  });
});

// UN GHS, Annex 3, with the suffixes and EUH codes of Regulation (EC) 1272/2008.
describe('GHS codes', () => {
  it.each(['H225', 'H340', 'H350i', 'H360FD', 'H360Fd', 'H361f', 'H361d', 'H410', 'EUH031', 'EUH066', 'EUH201A'])(
    '%s is one',
    (code) => expect(GHS_CODE.test(code)).toBe(true),
  );
  it.each(['H125', 'H35', 'h350', 'H350 or H351', 'P280', 'H3500', 'EUH31', ''])('"%s" is none', (code) =>
    expect(GHS_CODE.test(code)).toBe(false),
  );
});

describe('the catalogue and the list of sources', () => {
  it('hold no stand-in that is no reagent, and no reagent that stands in for itself', () => {
    const reagents = [
      { code: 'xylene', name: 'Xylene', kind: 'solvent' as const, acceptedInstead: ['xylene', 'petrol'] },
      { code: 'xylene', name: 'Xylene again', kind: 'solvent' as const },
    ];
    expect(checkCatalogue(reagents, []).map((problem) => problem.path.join('/'))).toEqual([
      'reagents/1/code',
      'reagents/0/acceptedInstead/0',
      'reagents/0/acceptedInstead/1',
    ]);
  });

  it('count stock in a volume, a mass or pieces', () => {
    const unit = (code: string) =>
      checkCatalogue([{ ...vocabulary.reagents[0]!, unit: code, acceptedInstead: [] }], vocabulary.sources).map(
        ({ code: told, path }) => `${told} ${path.join('/')}`,
      );
    for (const right of ['mL', 'g', '{piece}']) expect(unit(right)).toEqual([]);
    for (const wrong of ['Cel', 'µL', 'mg/mL', '%', 'pieces']) expect(unit(wrong)).toEqual(['unit reagents/0/unit']);
  });

  it('name each source once', () => {
    const source = { key: 'a', citation: 'A', kind: 'paper' as const, seen: 'whole' };
    expect(checkSources([source, source])).toMatchObject([{ path: ['sources', 1, 'key'], code: 'duplicate' }]);
  });
});
