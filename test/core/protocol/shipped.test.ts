import { beforeAll, describe, expect, it } from '@jest/globals';
import { readFileSync } from 'node:fs';
import type { Protocol, TimeUnit } from '../../../src/core/protocol/protocol.js';
import { readFolder } from '../../../src/modules/protocols/read-file.js';

// A table of published figures; its own source stands at its head.
type Row = [string, number, number, number, number, string, string, boolean, boolean];
const table = JSON.parse(readFileSync('test/vectors/stains.json', 'utf8')) as { rows: Row[] };

const SECONDS: Record<TimeUnit, number> = { ms: 0.001, s: 1, min: 60, h: 3600, d: 86_400 };

/** Standings as the table writes them, in the words of the files. */
const STANDING: Record<string, string> = {
  'step named by source, seconds chosen here': 'step named by source, value chosen here',
  'common practice': 'common practice, no source',
};

/** Steps that are never too short, so that the files leave their minimum out. */
const HANDLING = new Set(['receive', 'blot-and-mount', 'into-fixative', 'mount', 'coverslip-wet']);

let protocols: Map<string, Protocol>;

beforeAll(async () => {
  const read = await readFolder('protocols');
  if ('problems' in read) {
    throw new Error(read.problems.map((p) => `${p.file}:${p.line}:${p.column} ${p.message}`).join('\n'));
  }
  protocols = new Map(read.protocols.map((protocol) => [protocol.id, protocol]));
});

describe('the figures of the shipped protocols', () => {
  it('cover every step of the table and no other', () => {
    const counted = new Map<string, number>();
    for (const [id] of table.rows) {
      counted.set(id, (counted.get(id) ?? 0) + 1);
    }
    expect([...protocols.values()].map(({ id, steps }) => [id, steps.length]).sort()).toEqual([...counted].sort());
    expect(table.rows).toHaveLength(404);
  });

  it.each(table.rows)('%s step %i: limits %i, %i, %i s and their standing', (...row) => {
    const [id, number, min, target, max, status, window, critical, eye] = row;
    const step = protocols.get(id)!.steps[number - 1]!;
    const { time } = step;
    expect({
      min: time.min === undefined ? 'none' : time.min * SECONDS[time.unit],
      target: time.target * SECONDS[time.unit],
      max: time.max! * SECONDS[time.unit],
      status: time.status,
      window: time.window,
      critical: step.critical,
      end: step.end,
    }).toEqual({
      min: HANDLING.has(step.id) ? 'none' : min,
      target,
      max,
      status: STANDING[status] ?? status,
      window: STANDING[window] ?? window,
      critical,
      end: eye ? 'eye' : 'clock',
    });
  });

  it('limit the gap of every wet step of fresh tissue', () => {
    for (const { material, steps } of protocols.values()) {
      if (material.form === 'fresh tissue') {
        expect(steps.slice(1).every((step) => step.gap !== undefined && step.gap.status === 'proposal')).toBe(true);
      }
    }
  });
});

describe('what the categories of the shipped protocols ask for', () => {
  // 42 CFR 493.1273(a): fluorescent and immunohistochemical stains, positive and negative reactivity each time of use.
  it('is a positive and a negative control at each use of fluorescent and immunohistochemical stains', () => {
    const bound = [...protocols.values()].filter(
      (p) => p.category === 'fluorescent' || p.category === 'immunohistochemical',
    );
    expect(bound.map((p) => p.id).sort()).toEqual([
      'ao-acetic-fresh',
      'ao-eosin-fresh',
      'ao-fastgreen-fresh',
      'ao-fresh',
      'ao-sr101-fresh',
      'farred-eosin-fresh',
      'hoechst-fresh',
      'ihc-dab',
      'pi-eosin-fresh',
      'proflavine-fresh',
    ]);
    for (const { controls } of bound) {
      const kinds = controls
        .filter((control) => control.required && control.when === 'each use')
        .map((control) => control.kind);
      expect(kinds).toEqual(expect.arrayContaining(['positive', 'negative']));
    }
  });

  // 42 CFR 493.1261(a)(2): Gram stain each week of use; 493.1273(a): other special stains with each group of slides.
  it('is a control with each group of slides of a special stain, and each week for the Gram stain of smears', () => {
    const special = [...protocols.values()].filter((protocol) => protocol.category === 'special');
    expect(special).toHaveLength(12);
    for (const { id, controls } of special) {
      const positive = controls.find((control) => control.kind === 'positive' && control.required);
      expect([id, positive?.when]).toEqual([id, id === 'gram-smear' ? 'each week of use' : 'each group of slides']);
    }
  });

  // 42 CFR 493.1256(e)(2): each day of use.
  it('is a control each day of use of a routine stain', () => {
    const routine = [...protocols.values()].filter((protocol) => protocol.category === 'routine');
    expect(routine.map((p) => p.id).sort()).toEqual([
      'he-gill',
      'he-harris-regressive',
      'he-mayer-progressive',
      'he-rapid',
      'mgg',
      'pap-standard',
      'pap-ultrafast',
      'romanowsky-rapid',
    ]);
    for (const { controls } of routine) {
      expect(controls.some((c) => c.required && c.kind === 'positive' && c.when === 'each day of use')).toBe(true);
    }
  });
});
