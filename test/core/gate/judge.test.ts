import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import type { CoveringResult } from '../../../src/core/controls/coverage.js';
import { publishedPlan } from '../../../src/core/controls/plan.js';
import type { RunFacts } from '../../../src/core/gate/facts.js';
import { judge } from '../../../src/core/gate/judge.js';
import { RULES } from '../../../src/core/gate/rules.js';
import { canonicalText } from '../../../src/core/record/record.js';
import { bedside, container, patientSubject, readControls, type Scribe, shipped } from '../../support/bedside.js';

const good = (scribe: Scribe): void => {
  scribe.steps();
  readControls(scribe);
};

function adequacy(facts: RunFacts, subject = 0) {
  const point = judge(facts).subjects[subject]?.points[0];
  if (!point) throw new Error('the bedside run has a specimen and a release point');
  return point;
}

/** A control that passed in another run this morning, with no lots told. */
function otherResult(requirement: string, changes: Partial<CoveringResult> = {}): CoveringResult {
  return {
    id: 'result-0',
    requirement,
    runId: 'r0',
    revisionId: 'v1',
    station: 'Ultrasound 1',
    at: '2026-11-25T08:00:00.000Z',
    day: '2026-11-25',
    week: '2026-W48',
    month: '2026-11',
    readAt: '2026-11-25T08:10:00.000Z',
    passed: true,
    lots: {},
    ...changes,
  };
}

const lotsOf = ({ containers }: RunFacts): Record<string, string> =>
  Object.fromEntries(containers.map(({ reagent, lot }) => [reagent, lot.id]));

const rules = (facts: RunFacts): string[] => adequacy(facts).findings.map(({ rule }) => rule);

describe('The gate, on a bedside run', () => {
  it('clears one whose steps, containers and controls hold', () => {
    expect(adequacy(bedside(good))).toEqual({
      point: 'adequacy',
      title: 'Adequacy of the specimen',
      verdict: 'clear',
      findings: [],
    });
  });

  it('holds with exactly three findings when the dye ran long, was opened too long ago and the negative glowed', () => {
    const facts = bedside((scribe) => {
      scribe.steps({ dye: 31 });
      readControls(scribe, ['negative']);
    });
    facts.containers = facts.containers.map((each) =>
      each.reagent === 'acridine-orange-working'
        ? { ...each, limits: [...each.limits, { by: 'opened' as const, until: '2026-11-25T08:30:00.000Z' }] }
        : each,
    );
    const point = adequacy(facts);
    expect(point.verdict).toBe('held');
    expect(point.findings.map(({ id, weight }) => [id, weight])).toEqual([
      ['step-long:dye', 'stop'],
      ['past-opened-life:c-acridine-orange-working', 'stop'],
      ['control-failed:control-negative', 'stop'],
    ]);
    expect(point.findings[0]).toMatchObject({ measured: '31 s, give or take 0.004 s', against: '15 s to 30 s' });
  });

  it('clears adequacy after imaging, before the core is in fixative', () => {
    const facts = bedside((scribe) => {
      for (const { id, time } of scribe.protocol.steps.slice(0, -1)) scribe.step(id, time.target).wait(2);
      readControls(scribe);
    });
    expect(adequacy(facts).verdict).toBe('clear');
  });

  it('says only that the point is not reached while the steps before it are to come', () => {
    const facts = bedside((scribe) => {
      scribe.step('receive', 20).wait(2);
      readControls(scribe);
    });
    expect(rules(facts)).toEqual(['point-not-reached']);
  });

  it('tells a step that was left out', () => {
    const facts = bedside((scribe) => {
      for (const { id, time } of scribe.protocol.steps) if (id !== 'rinse-dye') scribe.step(id, time.target).wait(2);
      readControls(scribe);
    });
    expect(rules(facts)).toEqual(['step-missing']);
  });

  it('tells a step out of order, whichever was first', () => {
    const facts = bedside((scribe) => {
      for (const id of ['receive', 'rinse-blood', 'rinse-dye', 'dye', 'blot-and-mount', 'image']) {
        const step = scribe.protocol.steps.find((each) => each.id === id);
        scribe.step(id, step?.time.target ?? 0).wait(2);
      }
      readControls(scribe);
    });
    expect(rules(facts)).toContain('step-order');
  });

  it('tells a step without an end and one done twice', () => {
    const facts = bedside((scribe) => {
      scribe.step('receive', 20).wait(2).step('rinse-blood', 5).wait(2);
      scribe.add('step-started', { step: 'dye' });
      scribe.wait(22);
      scribe
        .step('rinse-dye', 10)
        .wait(2)
        .step('rinse-dye', 10)
        .wait(2)
        .step('blot-and-mount', 20)
        .wait(2)
        .step('image', 120);
      readControls(scribe);
    });
    expect(adequacy(facts).findings.map(({ id }) => id)).toEqual(['step-not-ended:dye', 'step-repeated:rinse-dye']);
  });

  it('tells a gap in which fresh tissue may have dried', () => {
    const facts = bedside((scribe) => {
      scribe.step('receive', 20).wait(45);
      for (const { id, time } of scribe.protocol.steps.slice(1)) scribe.step(id, time.target).wait(2);
      readControls(scribe);
    });
    // The rinse that follows is not critical: a note, and the run clears.
    expect(adequacy(facts)).toMatchObject({
      verdict: 'clear',
      findings: [{ id: 'gap-long:rinse-blood', weight: 'note' }],
    });
  });

  it('leaves to a person what two clocks cannot decide, and settles it when resolved in favour', () => {
    const undecided = (conforms: boolean | null) =>
      bedside((scribe) => {
        for (const { id, time } of scribe.protocol.steps) {
          if (id !== 'dye') {
            scribe.step(id, time.target).wait(2);
            continue;
          }
          scribe.add('step-started', { step: 'dye' });
          scribe.wait(29.9);
          // The page was reloaded in mid-step: a new clock session, known to within 300 ms.
          scribe.add('step-ended', { step: 'dye' }, { clockSession: 'reloaded', monotonicMs: 7, uncertaintyMs: 300 });
          scribe.wait(2);
        }
        readControls(scribe);
        if (conforms !== null)
          scribe.add('resolved', {
            finding: 'step-undecided:dye',
            conforms,
            reason: 'nuclei crisp, timer on the wall',
          });
      });
    expect(adequacy(undecided(null))).toMatchObject({
      verdict: 'held',
      findings: [{ id: 'step-undecided:dye', settled: false }],
    });
    expect(adequacy(undecided(false)).verdict).toBe('held');
    expect(adequacy(undecided(true))).toMatchObject({
      verdict: 'clear',
      findings: [{ id: 'step-undecided:dye', settled: true }],
    });
  });

  it('lets a resolved doubt about one performance hide no offence of the next', () => {
    const { findings, verdict } = adequacy(
      bedside((scribe) => {
        for (const { id, time } of scribe.protocol.steps) {
          if (id === 'dye') {
            scribe.add('step-started', { step: 'dye' });
            scribe.wait(29.9);
            scribe.add('step-ended', { step: 'dye' }, { clockSession: 'reloaded', monotonicMs: 7, uncertaintyMs: 300 });
            scribe.add('resolved', { finding: 'step-undecided:dye', conforms: true, reason: 'timer on the wall' });
            scribe.wait(2).add('step-started', { step: 'dye', again: true });
            scribe.wait(90).add('step-ended', { step: 'dye' });
            scribe.wait(2);
            continue;
          }
          scribe.step(id, time.target).wait(2);
        }
        readControls(scribe);
      }),
    );
    expect(verdict).toBe('held');
    expect(findings).toContainEqual(expect.objectContaining({ id: 'step-long:dye', settled: false }));
  });

  it('takes a doubt that a repeat raises after the resolution for a new one', () => {
    const facts = bedside((scribe) => {
      const unsure = { clockSession: 'reloaded', monotonicMs: 7, uncertaintyMs: 300 };
      for (const { id, time } of scribe.protocol.steps.slice(0, -1)) {
        if (id !== 'dye') {
          scribe.step(id, time.target).wait(2);
          continue;
        }
        scribe.add('step-started', { step: 'dye' });
        scribe.wait(29.9).add('step-ended', { step: 'dye' }, unsure);
        scribe.add('resolved', { finding: 'step-undecided:dye', conforms: true, reason: 'timer on the wall' });
        scribe.wait(2).add('step-started', { step: 'dye', again: true });
        scribe.wait(29.9).add('step-ended', { step: 'dye' }, { ...unsure, clockSession: 'once more' });
        scribe.wait(2);
      }
      readControls(scribe);
    });
    expect(adequacy(facts).findings.find(({ rule }) => rule === 'step-undecided')).toMatchObject({ settled: false });
  });

  it('counts a correction instead of what it corrects, and keeps it visible', () => {
    const facts = bedside((scribe) => {
      scribe.steps({ dye: 40 });
      readControls(scribe);
    });
    const ended = facts.events.find((event) => event.kind === 'step-ended' && event.data.step === 'dye');
    const started = facts.events.find((event) => event.kind === 'step-started' && event.data.step === 'dye');
    if (!ended || !started) throw new Error('the dye step was played');
    const at = new Date(Date.parse(started.stamp.at) + 22_000).toISOString();
    const correction = {
      ...ended,
      id: 'e900',
      seq: 900,
      kind: 'corrected' as const,
      data: { event: ended.id, at, uncertaintyMs: 1000, reason: 'the button was pressed late' },
    };
    expect(rules(facts)).toEqual(['step-long']);
    // The next step now starts 18 s later than the corrected end: within its gap.
    expect(rules({ ...facts, events: [...facts.events, correction] })).toEqual(['entered-late']);
  });

  it('inherits what belongs to the run and keeps a spoiled specimen from holding the others', () => {
    const facts = bedside((scribe) => {
      good(scribe);
      scribe.add('identity-confirmed', { subject: 'core-2' });
      scribe.add('subject-spoiled', { subject: 'core-2', what: 'dried at the edge' });
    });
    // Of the same patient, so that one aliquot may serve both.
    for (const subject of facts.subjects) subject.patient = 'p1';
    facts.subjects.push(patientSubject('core-2', { label: 'SW1:S:2', irreplaceable: false, patient: 'p1' }));
    expect(adequacy(facts, 0).verdict).toBe('clear');
    expect(adequacy(facts, 1)).toMatchObject({
      verdict: 'held',
      findings: [{ id: 'subject-spoiled:core-2', subjectId: 'core-2' }],
    });
  });

  it('holds a specimen whose identity nobody confirmed', () => {
    const facts = bedside(good);
    facts.events = facts.events.filter(({ kind }) => kind !== 'identity-confirmed');
    expect(rules(facts)).toEqual(['identity-unconfirmed']);
  });

  it.each([
    ['a wrong reagent', { reagent: 'eosin-y-alcoholic' }, 'wrong-reagent'],
    ['a lot that nobody accepted', { lot: { id: 'l', number: 'N', standing: [] } }, 'lot-quarantined'],
    [
      'a lot recalled after its use',
      {
        lot: {
          id: 'l',
          number: 'N',
          standing: [
            { at: '2026-11-20T08:00:00.000Z', standing: 'accepted' as const, seq: 1 },
            { at: '2026-11-26T08:00:00.000Z', standing: 'recalled' as const, seq: 900 },
          ],
        },
      },
      'lot-recalled',
    ],
    ['a bottle never recorded as opened', { states: [] }, 'not-opened'],
    [
      'a bottle past its expiry',
      { limits: [{ by: 'expiry' as const, until: '2026-11-25T00:00:00.000Z' }] },
      'past-expiry',
    ],
    [
      'a limit that passed during the step',
      { limits: [{ by: 'expiry' as const, until: '2026-11-25T09:00:41.000Z' }] },
      'past-expiry',
    ],
  ])('stops at %s', (_what, changes, rule) => {
    const facts = bedside(good);
    facts.containers = facts.containers.map((each) =>
      each.reagent === 'acridine-orange-working' ? container(each.reagent, { ...changes, id: each.id }) : each,
    );
    expect(adequacy(facts)).toMatchObject({ verdict: 'held', findings: [{ rule, weight: 'stop' }] });
  });

  it('asks for a container where none was scanned, not for water', () => {
    const facts = bedside(good);
    facts.events = facts.events.filter(
      (event) => !(event.kind === 'tray-scanned' && event.data.reagent === 'acridine-orange-working'),
    );
    expect(adequacy(facts).findings.map(({ id }) => id)).toEqual(['container-missing:dye']);
  });

  it('wants both controls of a fluorescent stain in the run itself (42 CFR 493.1273(a))', () => {
    const facts = bedside(good);
    facts.subjects = facts.subjects.filter(({ control }) => control !== 'negative');
    // It answers for the lots and the bottles in use, which are clocks of their own, not for this use.
    facts.controls.results = [otherResult('negative', { lots: lotsOf(facts) })];
    expect(adequacy(facts).findings).toMatchObject([
      { rule: 'control-missing', what: expect.stringMatching(/due each use \(42 CFR 493.1256\(e\)\(3\)/) },
    ]);
    const unread = bedside((scribe) => scribe.steps());
    expect(rules(unread)).toEqual(['control-unread', 'control-unread', 'control-unread']);
  });

  it('lets only runs for patients out, on a revision in force, not abandoned', () => {
    const facts = bedside((scribe) => {
      good(scribe);
      scribe.add('abandoned', { reason: 'core lost' });
    });
    expect(
      rules({ ...facts, purpose: 'acceptance', revision: { number: 1, inForce: false, assessedFrom: 0 } }),
    ).toEqual(['run-abandoned', 'not-for-patients', 'revision-not-in-force']);
  });
});

describe('The gate, on a routine stain', () => {
  /** Harris H&E with the day's control in another run of the same lots. */
  const routine = (results: CoveringResult[]): RunFacts => {
    const facts = bedside((scribe) => scribe.add('noted', { text: 'replaced below' }));
    const protocol = shipped('he-harris-regressive');
    return {
      ...facts,
      protocol,
      subjects: facts.subjects.slice(0, 1),
      events: facts.events.slice(0, 1),
      controls: { ...facts.controls, plan: publishedPlan(protocol), results },
    };
  };

  it('takes the day’s passing control of the same lots for its own (42 CFR 493.1256(e)(2))', () => {
    const required = shipped('he-harris-regressive').controls.find((each) => each.required);
    if (!required) throw new Error('H&E has a required control');
    const other = otherResult(required.id);
    expect(rules(routine([other]))).not.toContain('control-missing');
    expect(rules(routine([]))).toContain('control-missing');
    expect(rules(routine([other, { ...other, at: '2026-11-25T08:30:00.000Z', passed: false }]))).toContain(
      'control-failed',
    );
  });
});

describe('The gate, always', () => {
  it('gives the same answer for the same facts in any order of events, and never a finding twice', () => {
    const facts = bedside((scribe) => {
      scribe.steps({ dye: 31, 'rinse-dye': 3 });
      readControls(scribe, ['positive']);
    });
    const expected = canonicalText(judge(facts));
    fc.assert(
      fc.property(fc.shuffledSubarray(facts.events, { minLength: facts.events.length }), (events) => {
        const judged = judge({ ...facts, events });
        expect(canonicalText(judged)).toBe(expected);
        const ids = judged.subjects[0]?.points[0]?.findings.map(({ id }) => id) ?? [];
        expect(new Set(ids).size).toBe(ids.length);
      }),
      { numRuns: 50 },
    );
  });

  it('never clears a run by taking facts away', () => {
    const facts = bedside((scribe) => {
      scribe.steps();
      readControls(scribe);
    });
    const essential = facts.events.filter(({ kind }) => kind !== 'noted');
    fc.assert(
      fc.property(fc.nat(essential.length - 1), (n) => {
        const removed = essential[n];
        const judged = adequacy({ ...facts, events: essential.filter((event) => event !== removed) });
        const ofFixative =
          removed?.kind !== 'control-read' &&
          removed?.kind !== 'identity-confirmed' &&
          JSON.stringify(removed?.data).match(/into-fixative|nbf-10/);
        // What is not critical leaves only a note, and the step after the release point leaves nothing.
        const noteOnly = judged.findings.length > 0 && judged.findings.every(({ weight }) => weight === 'note');
        expect(judged.verdict === 'held' || noteOnly || Boolean(ofFixative)).toBe(true);
      }),
    );
  });

  it('names for each rule what mends it and whom it serves', () => {
    for (const rule of Object.values(RULES)) {
      expect(rule.title).not.toBe('');
      expect(rule.mend).toMatch(/\.$/);
      expect(rule.source).not.toBe('');
    }
  });
});
