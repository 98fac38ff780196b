import { describe, expect, it } from '@jest/globals';
import type { RunReport } from '../../src/core/report/run-report.js';
import { reportedSteps } from '../../src/core/report/steps.js';
import { runState } from '../../src/core/run/state.js';
import { runReportPdf, type RunReportOptions } from '../../src/reports/run-report.js';
import { ticksOf, timeAxis } from '../../src/reports/time-axis.js';
import { plusMs } from '../../src/core/time/instant.js';
import { Scribe, shipped, START } from '../support/bedside.js';
import { describeWith } from '../support/needs.js';
import { pagesOf } from '../support/pdf.js';

const NUMBER = 'HIVE3317';

/** A rack of routine slides, of which the differentiation was ended by eye and one step took too long. */
function rack(
  slides: number,
  play: (scribe: Scribe) => void = (scribe) => scribe.steps({ 'nuclear-stain': 500 }),
): RunReport {
  const protocol = shipped('he-harris-regressive');
  const scribe = new Scribe(protocol);
  play(scribe);
  return {
    laboratory: { name: 'Saltmarrow Hospital (invented)', zone: 'Atlantic/Azores', demo: true },
    record: { seq: 912, hash: 'ab'.repeat(32) },
    rules: '3',
    run: {
      id: 'r1',
      number: 871,
      station: 'H&E line',
      purpose: 'patients',
      startedAt: START,
      startedBy: 'Tansy Pebbleworth',
      supervisors: [],
      lastAt: START,
      state: 'cleared',
      abandoned: null,
      late: 0,
      corrections: 0,
    },
    protocol: { title: protocol.title, revision: 2, contentHash: 'cd'.repeat(32) },
    subjects: Array.from({ length: slides }, (_, n) => ({
      id: `s${n}`,
      label: `SW1:L:TARN-${n}`,
      description: 'skin, back',
      kind: 'slide' as const,
      role: 'patient' as const,
      takenAt: null,
      identifiers: [{ kind: 'patient number' as const, value: NUMBER }],
    })),
    steps: reportedSteps(runState(protocol, scribe.events), () => 'Tansy Pebbleworth', 100),
    reagents: protocol.steps
      .flatMap(({ reagent }) =>
        reagent
          ? [
              {
                name: reagent,
                container: `SW1:C:${reagent.toUpperCase().slice(0, 6)}`,
                lot: 'TW-26-01',
                source: 'Tidewater Reagents (invented)',
                expiry: '2027-01-31',
                expirySetHere: false,
                limit: { by: 'expiry' as const, until: '2027-02-01T01:00:00.000Z' },
                trayedAt: START,
                step: null,
                against: [],
              },
            ]
          : [],
      )
      .slice(0, 9),
    controls: [],
    findings: [
      {
        id: 'step-long:rinse',
        rule: 'step-long',
        weight: 'stop',
        what: 'A step was too long.',
        at: START,
        measured: '8 min 20 s',
        against: 'at most 5 min',
        settled: false,
        title: 'Step too long',
        on: null,
        how: [],
      },
    ],
    results: Array.from({ length: slides }, (_, n) => ({
      subject: `SW1:L:TARN-${n}`,
      point: 'Stained slide',
      verdict: 'held' as const,
      reached: true,
      releases: [],
    })),
    signatures: [],
    answers: [],
    notes: [],
    pictures: [],
  };
}

describeWith('pdftotext', 'The run report', (pdftotext) => {
  const pages = async (report: RunReport, options: Partial<RunReportOptions> = {}): Promise<string[]> =>
    pagesOf(pdftotext, await runReportPdf(report, { now: START, ...options }));

  it('stands on one page, in words as well as in shapes, and is the same whenever it is made', async () => {
    const report = rack(4);
    const [page = '', ...more] = await pages(report);
    expect(more).toEqual([]);
    // What the drawing shows: a duration with its uncertainty, its window and target, who judged by eye, what went wrong.
    expect(page).toMatch(/10 Differentiate \(critical\)/);
    expect(page).toMatch(/6 s ± 0.001 s, in window/);
    expect(page).toMatch(/2 s to 15 s, target 6 s/);
    expect(page).toMatch(/by eye: Tansy Pebbleworth/);
    expect(page).toMatch(/8 min 20 s ± 0.05 s, too long/);
    expect(page).toContain('Page 1 of 1');
    const again = await runReportPdf(report, { now: START });
    expect(again.equals(await runReportPdf(report, { now: START }))).toBe(true);
  });

  it('tells which pictures were kept, at which step, by their hashes', async () => {
    const taken = { at: START, by: 'Tansy Pebbleworth', sha256: '5e'.repeat(32) };
    const [page = ''] = await pages({
      ...rack(1),
      pictures: [
        { ...taken, subject: 'SW1:L:TARN-0', step: 'Differentiate', file: 'field-1.png' },
        { ...taken, subject: 'SW1:L:TARN-0', step: null, file: 'field-2.png' },
      ],
    });
    expect(page).toMatch(/TARN-0 +Differentiate .*Tansy Pebbleworth +field-1\.png +(5e){8}…/);
    expect(page).toMatch(/TARN-0 +none .*field-2\.png/);
  });

  it('goes on on further pages only when it must, and says so', async () => {
    const [first = '', second = '', ...more] = await pages(rack(24), { paper: 'Letter' });
    expect(more).toEqual([]);
    expect(first).toContain('Page 1 of 2; goes on on page 2');
    expect(second).toMatch(/^Run 871: H&E, Harris haematoxylin, regressive, continued/);
    expect(second).toContain('Page 2 of 2');
  });

  it('prints what tells whose it is only when asked to', async () => {
    const told = { 'left out': /left out/, masked: /patient number: •••••/, included: new RegExp(NUMBER) };
    for (const identifiers of ['left out', 'masked', 'included'] as const) {
      const [page = ''] = await pages(rack(1), { identifiers });
      expect(page).toMatch(told[identifiers]);
      expect([identifiers, page.includes(NUMBER)]).toEqual([identifiers, identifiers === 'included']);
    }
  });

  it('tells what was not done, left open, done again and ended by nobody', async () => {
    const [page = ''] = await pages(
      rack(1, (scribe) => {
        scribe.step('dewax-1', 300).wait(2).step('dewax-1', 300).wait(2).step('dewax-3', 300).wait(2);
        scribe.add('step-started', { step: 'hydrate-1' });
      }),
    );
    expect(page).toMatch(/not recorded, though later steps were/);
    expect(page).toMatch(/1 Dewax 1, done again/);
    expect(page).toMatch(/no recorded end/);
    expect(page).toMatch(/not begun/);
  });
});

describe('The axis of time', () => {
  const at = (seconds: number): string => plusMs(START, seconds * 1000);

  it('is even where nothing is cut, and ends where limits end, within a quarter more', () => {
    const axis = timeAxis([at(0), at(40), at(100)], [Date.parse(at(500))], 250);
    expect(axis.cuts).toEqual([]);
    expect([0, 40, 100, 125].map((seconds) => Math.round(axis.at(Date.parse(at(seconds)))))).toEqual([0, 80, 200, 250]);
    expect(ticksOf(axis, 50)).toEqual([0, 30_000, 60_000, 90_000, 120_000]);
  });

  it('draws a night short and keeps the order of all moments', () => {
    const night = 16 * 3600;
    const moments = [0, 60, 60 + night, 120 + night];
    const axis = timeAxis(moments.map(at), [], 200);
    expect(axis.cuts).toEqual([{ fromMs: Date.parse(at(60)), toMs: Date.parse(at(60 + night)) }]);
    expect(moments.map((seconds) => Math.round(axis.at(Date.parse(at(seconds)))))).toEqual([0, 50, 150, 200]);
    expect(ticksOf(axis, 20).every((ms) => ms <= 60_000 || ms >= (60 + night) * 1000)).toBe(true);
  });
});
