import { describe, expect, it } from '@jest/globals';
import { diffProtocols } from '../../../src/core/protocol/compare.js';
import { shipped } from './sample.js';

describe('two protocols side by side', () => {
  it('do not differ from themselves', () => expect(diffProtocols(shipped('pas'), shipped('pas'))).toEqual([]));

  it('differ by value, by what one side lacks, and by steps under their ids', () => {
    const before = shipped('ao-fresh');
    const after = shipped('ao-fresh');
    after.title = 'Acridine orange at our bedside';
    after.steps[2]!.time.max = 25;
    delete after.steps[3]!.gap;
    const removed = after.steps.splice(1, 1)[0];
    after.sources.push('proposal');
    expect(diffProtocols(before, after)).toEqual([
      { path: ['title'], before: before.title, after: 'Acridine orange at our bedside' },
      { path: ['steps', 'rinse-blood'], before: removed },
      { path: ['steps', 'dye', 'time', 'max'], before: 30, after: 25 },
      { path: ['steps', 'rinse-dye', 'gap'], before: before.steps[3]!.gap },
      { path: ['sources', before.sources.length], after: 'proposal' },
    ]);
  });

  it('show a new order once', () => {
    const before = shipped('ao-fresh');
    const after = shipped('ao-fresh');
    after.steps.reverse();
    expect(diffProtocols(before, after)).toEqual([
      { path: ['steps'], before: before.steps.map((s) => s.id), after: after.steps.map((s) => s.id) },
    ]);
  });
});
