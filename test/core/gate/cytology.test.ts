import { describe, expect, it } from '@jest/globals';
import type { BathGuest, GateSubject, RunFacts } from '../../../src/core/gate/facts.js';
import { judge } from '../../../src/core/gate/judge.js';
import type { Protocol } from '../../../src/core/protocol/protocol.js';
import type { Cytology } from '../../../src/core/specimen/cytology.js';
import { bedside, container, patientSubject, Scribe, shipped, START } from '../../support/bedside.js';

const GYN = 'gynaecological';
const OTHER = 'non-gynaecological';
const CONTAMINATING = 'non-gynaecological, contaminating';
const RULES = ['gyn-', 'contaminating-', 'stain-not-', 'aliquot-'];

/** Which rules of this topic speak against a run of a protocol with these subjects, and about what. */
function found(facts: RunFacts): string[] {
  const ids = judge(facts).subjects.flatMap(({ points }) => points.at(-1)?.findings.map(({ id }) => id) ?? []);
  return [...new Set(ids.filter((id) => RULES.some((rule) => id.startsWith(rule))))];
}

function run(protocol: Protocol, subjects: GateSubject[], changes: Partial<RunFacts> = {}): RunFacts {
  const scribe = new Scribe(protocol);
  scribe.tray().steps();
  const codes = [...new Set(protocol.steps.flatMap(({ reagent }) => reagent ?? []))];
  const containers = codes.map((code) => container(code));
  return bedside(undefined, { protocol, subjects, events: scribe.events, containers, ...changes });
}

const slide = (id: string, cytology: Cytology | null, specimenId = id): GateSubject =>
  patientSubject(id, { kind: 'slide', cytology, specimenId });
const pap = shipped('pap-standard');
const kept: Protocol = { ...pap, cytology: { papanicolaou: true, separation: 'own slide holders, filtered between' } };

describe('What may not be stained together', () => {
  // 42 CFR 493.1274(b)(1), (b)(2), (b)(3), row by row.
  it.each<[string, Protocol, [Cytology | null, string][], string[]]>([
    ['tissue alone', shipped('he-gill'), [[null, 'a']], []],
    ['(b)(1) a gynaecological slide by a Papanicolaou method', pap, [[GYN, 'a']], []],
    ['(b)(1) the same by haematoxylin and eosin', shipped('he-gill'), [[GYN, 'a']], ['gyn-not-papanicolaou:0']],
    ['(b)(1) an immunostain beside it', shipped('ihc-dab'), [[GYN, 'a']], []],
    [
      '(b)(2) gynaecological beside other',
      pap,
      [
        [GYN, 'a'],
        [OTHER, 'b'],
      ],
      ['gyn-beside-other:run'],
    ],
    [
      '(b)(2) with a stated measure',
      kept,
      [
        [GYN, 'a'],
        [OTHER, 'b'],
      ],
      [],
    ],
    [
      '(b)(2) gynaecological beside tissue',
      pap,
      [
        [GYN, 'a'],
        [null, 'b'],
      ],
      [],
    ],
    [
      '(b)(3) two slides of one effusion',
      pap,
      [
        [CONTAMINATING, 'a'],
        [CONTAMINATING, 'a'],
      ],
      [],
    ],
    [
      '(b)(3) of two effusions',
      pap,
      [
        [CONTAMINATING, 'a'],
        [CONTAMINATING, 'b'],
      ],
      ['contaminating-beside-other:run'],
    ],
    [
      '(b)(3) an effusion beside another specimen',
      kept,
      [
        [CONTAMINATING, 'a'],
        [OTHER, 'b'],
      ],
      ['contaminating-beside-other:run'],
    ],
  ])('%s', (_name, protocol, subjects, expected) => {
    expect(
      found(
        run(
          protocol,
          subjects.map(([kind, of], n) => slide(String(n), kind, of)),
        ),
      ),
    ).toEqual(expected);
  });

  it('is no matter in a run without patients', () => {
    const both = [slide('a', GYN), slide('b', OTHER)];
    expect(found(run(pap, both, { purpose: 'training' }))).toEqual([]);
  });
});

describe('A bath of stain', () => {
  const BATH = 'c-og-6';
  const guest = (cytology: Cytology, at: string): BathGuest => ({ container: BATH, at, cytology });
  const through = (cytology: Cytology, guests: BathGuest[], filteredAt: string[], protocol = pap, reagent = 'og-6') => {
    const facts = run(protocol, [slide('a', cytology)], { bathGuests: guests });
    const made = ['2026-11-20T07:00:00.000Z', ...filteredAt].map((at) => ({ at, until: null }));
    const bath = { maxSlides: null, passed: [], filterEvery: null, filtered: made };
    return found({
      ...facts,
      containers: facts.containers.map((each) => (each.reagent === reagent ? { ...each, bath } : each)),
    });
  };
  const BEFORE = '2026-11-25T08:00:00.000Z';
  const BETWEEN = '2026-11-25T08:30:00.000Z';

  // 42 CFR 493.1274(b)(3): stains filtered or changed after specimens with a high potential for cross-contamination.
  it.each<[string, string[], string[]]>([
    ['not renewed since', [], [`stain-not-renewed:${BATH}`]],
    ['filtered in between', [BETWEEN], []],
    ['filtered only before the guest', ['2026-11-25T07:00:00.000Z'], [`stain-not-renewed:${BATH}`]],
    ['filtered only after this use', ['2026-11-26T09:00:00.000Z'], [`stain-not-renewed:${BATH}`]],
  ])('that held a contaminating specimen and was %s', (_name, filteredAt, expected) => {
    expect(through(OTHER, [guest(CONTAMINATING, BEFORE)], filteredAt)).toEqual(expected);
  });

  it('whose guest came after this use holds nothing', () => {
    expect(through(OTHER, [guest(CONTAMINATING, '2026-11-26T08:00:00.000Z')], [])).toEqual([]);
  });

  // 42 CFR 493.1274(b)(2).
  it('of gynaecological slides after others is renewed in between, or the protocol says what keeps them apart', () => {
    expect(through(GYN, [guest(OTHER, BEFORE)], [])).toEqual([`gyn-beside-other:${BATH}`]);
    expect(through(OTHER, [guest(GYN, BEFORE)], [])).toEqual([`gyn-beside-other:${BATH}`]);
    expect(through(GYN, [guest(OTHER, BEFORE)], [BETWEEN])).toEqual([]);
    expect(through(GYN, [guest(OTHER, BEFORE)], [], kept)).toEqual([]);
    expect(through(GYN, [guest(GYN, BEFORE)], [])).toEqual([]);
  });

  it('is meant, not one of alcohol', () => {
    const alcohol = pap.steps.find(({ reagent }) => reagent?.startsWith('ethanol'))?.reagent ?? '';
    const guests = [{ ...guest(CONTAMINATING, BEFORE), container: `c-${alcohol}` }];
    expect(alcohol).not.toBe('');
    expect(through(OTHER, guests, [], pap, alcohol)).toEqual([]);
  });
});

// The protocol's own limit of patients for an aliquot (ao-fresh: one); no published rule beyond 493.1274(b)(3).
describe('One aliquot of a fresh dye', () => {
  const cores = (...patients: (string | null)[]) =>
    found(
      bedside(undefined, {
        subjects: patients.map((patient, n) => patientSubject(`core-${n}`, { patient })),
        startedAt: START,
      }),
    );

  it.each<[string, (string | null)[], string[]]>([
    ['serves two cores of one patient', ['p1', 'p1'], []],
    ['serves one core of nobody knows whom', [null], []],
    ['does not serve two patients', ['p1', 'p2'], ['aliquot-shared:run']],
    ['is undecided where one patient is not told', ['p1', null], ['aliquot-undecided:run']],
  ])('%s', (_name, patients, expected) => {
    expect(cores(...patients)).toEqual(expected);
  });

  it('is decided by a person who knows', () => {
    const facts = bedside(
      (scribe) => {
        scribe.steps();
        scribe.add('resolved', { finding: 'aliquot-undecided:run', conforms: true, reason: 'both of one pass' });
      },
      { subjects: [patientSubject('core-1'), patientSubject('core-2')] },
    );
    const finding = judge(facts).subjects[0]?.points[0]?.findings.find(({ rule }) => rule === 'aliquot-undecided');
    expect(finding).toMatchObject({ settled: true, weight: 'stop' });
  });
});
