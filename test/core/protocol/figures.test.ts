import { describe, expect, it } from '@jest/globals';
import { checkProtocol } from '../../../src/core/protocol/check.js';
import { confirmFigures, withOwnFigures, openProposals } from '../../../src/core/protocol/figures.js';
import type { Step } from '../../../src/core/protocol/protocol.js';
import { shipped, vocabulary } from './sample.js';

describe('open proposals', () => {
  it('are listed with path, words and value, target and limits apart', () => {
    const open = openProposals(shipped('ao-fresh'));
    expect(open).toContainEqual({
      path: ['steps', 0, 'time', 'status'],
      text: expect.stringMatching(/: target time in s$/),
      value: { target: 20 },
    });
    expect(open).toContainEqual({
      path: ['steps', 2, 'time', 'window'],
      text: 'Dye in acridine orange: time limits in s',
      value: { min: 15, max: 30 },
    });
    expect(open).toContainEqual({
      path: ['steps', 1, 'gap', 'status'],
      text: 'Rinse off blood: longest gap before it in s',
      value: { max: 30 },
    });
    expect(open.some(({ path }) => path.join('/') === 'steps/2/time/status')).toBe(false);
    expect(open.some(({ path }) => path[0] === 'controls')).toBe(true);
    expect(open.some(({ path }) => path[0] === 'change')).toBe(true);
  });

  it('hold what a step takes, when that is proposed', () => {
    const protocol = shipped('ao-fresh');
    protocol.steps[2]!.takes!.status = 'proposal';
    expect(openProposals(protocol)).toContainEqual({
      path: ['steps', 2, 'takes', 'status'],
      text: 'Dye in acridine orange: what it takes in mL per run',
      value: { amount: 2 },
    });
    const path = ['steps', 2, 'takes', 'status'];
    const set = confirmFigures(protocol, [{ path, value: { amount: 1.5 } }]).steps[2]!.takes;
    expect(set).toMatchObject({ amount: 1.5, status: 'set by this laboratory' });
  });

  it('are as many as the word stands in the content', () => {
    for (const id of ['ao-fresh', 'he-harris-regressive', 'ihc-dab', 'pas-d', 'toluidine-rose']) {
      const protocol = shipped(id);
      const marks = JSON.stringify(protocol).match(/"(?:status|window)":"proposal"/g) ?? [];
      expect(openProposals(protocol)).toHaveLength(marks.length);
      expect(marks.length).toBeGreaterThan(0);
    }
  });
});

describe('confirming figures', () => {
  it('leaves none open, changes nothing else and not the original', () => {
    const protocol = shipped('ihc-dab');
    const before = JSON.stringify(protocol);
    const confirmed = confirmFigures(protocol, openProposals(protocol));
    expect(openProposals(confirmed)).toEqual([]);
    expect(JSON.stringify(protocol)).toBe(before);
    expect(JSON.stringify(confirmed).replaceAll('"set by this laboratory"', '"proposal"')).toBe(before);
    expect(checkProtocol(confirmed, vocabulary)).toEqual([]);
  });

  it('sets a value of the laboratory', () => {
    const set = confirmFigures(shipped('ao-fresh'), [
      { path: ['steps', 2, 'time', 'window'], value: { min: 18, max: 25 } },
      { path: ['steps', 1, 'gap', 'status'], value: { max: 20 } },
    ]);
    expect(set.steps[2]!.time).toEqual({
      min: 18,
      target: 20,
      max: 25,
      unit: 's',
      status: 'from memory',
      window: 'set by this laboratory',
    });
    expect(set.steps[1]!.gap).toMatchObject({ max: 20, status: 'set by this laboratory' });
  });

  it('refuses a path that leads to no figure and a key that the figure does not have', () => {
    const protocol = shipped('ao-fresh');
    expect(() => confirmFigures(protocol, [{ path: ['steps', 99, 'time', 'status'] }])).toThrow(
      /there is no figure at steps\/99/,
    );
    expect(() => confirmFigures(protocol, [{ path: ['title'] }])).toThrow(RangeError);
    expect(() => confirmFigures(protocol, [{ path: ['steps', 2, 'time', 'window'], value: { target: 1 } }])).toThrow(
      /is made of min, max/,
    );
  });
});

describe('Figures of an edited protocol', () => {
  it('are the laboratory’s own where they are new or differ, whatever the order of the steps, and keep their standing elsewhere', () => {
    const base = shipped('ao-fresh');
    const edited = structuredClone(base);
    const [first, second] = edited.steps as [Step, Step];
    second.time.target += 1;
    edited.steps.splice(0, 2, second, first);
    const own = withOwnFigures(base, edited);
    expect(own.steps[0]?.time.status).toBe('set by this laboratory');
    expect(own.steps[0]?.time.window).toBe(base.steps[1]?.time.window);
    expect(own.steps.slice(1)).toEqual(edited.steps.slice(1));
    expect(withOwnFigures(base, base)).toEqual(base);
    expect(withOwnFigures(null, base).steps.map(({ time }) => time.status)).toEqual(
      base.steps.map(() => 'set by this laboratory'),
    );
  });

  it('are the laboratory’s own when the number stands and its unit changed', () => {
    const base = shipped('ao-fresh');
    const edited = structuredClone(base);
    (edited.steps[0] as Step).time.unit = 'min';
    expect(withOwnFigures(base, edited).steps[0]?.time).toMatchObject({
      status: 'set by this laboratory',
      window: 'set by this laboratory',
    });
  });
});
