import { describe, expect, it } from '@jest/globals';
import { holdsText, LOT_SHOWS, lotShown, onShelf, SHELF_SHOWS } from '../../../src/core/find/lists.js';

// What a list shows of what somebody asks for is common practice, no source.
describe('Narrowed lists', () => {
  it.each([
    ['', true],
    ['  ', true],
    ['EOSIN', true],
    [' tarn-7 ', true],
    ['y tarn', true],
    ['tarn-8', false],
    ['%', false],
  ])('look for "%s" as it is written, whatever its case', (wanted, holds) => {
    expect(holdsText(wanted, ['Eosin Y', 'TARN-7'])).toBe(holds);
  });

  const lot = { reagent: 'eosin-y', number: 'TARN-7', source: 'Tidewater' };
  const container = (state: 'unopened' | 'opened' | 'emptied', usable: boolean) => ({ state, usable });
  it.each([
    ['accepted', [container('opened', true)], ['all', 'usable']],
    ['accepted', [container('emptied', false)], ['all', 'over']],
    ['accepted', [container('unopened', false)], ['all']],
    ['accepted', [], ['all', 'over']],
    ['quarantined', [container('unopened', false)], ['all', 'deciding']],
  ] as const)('put a lot that is %s with containers %j under %j', (standing, containers, shows) => {
    const shown = LOT_SHOWS.filter((show) => lotShown({ ...lot, standing, containers }, 'Eosin', { find: '', show }));
    expect(shown).toEqual(shows);
    expect(lotShown({ ...lot, standing, containers }, 'Eosin', { find: 'haem', show: 'all' })).toBe(false);
  });

  it('show of the shelf the containers that are asked for, and none where the text is not', () => {
    const plain = { lotNumber: 'A', over: false, undated: false, countDue: false, valueCents: 100 };
    const containers = [
      plain,
      { ...plain, lotNumber: 'B', over: true },
      { ...plain, undated: true, valueCents: 0 },
      { ...plain, countDue: true, valueCents: null },
    ];
    const stock = { name: 'Xylene', reagent: 'xylene', containers };
    const places = (find: string, show: (typeof SHELF_SHOWS)[number]): number[] =>
      onShelf(stock, { find, show }).map((each) => containers.indexOf(each));
    expect(SHELF_SHOWS.map((show) => places('', show))).toEqual([[0, 1, 2, 3], [1], [2], [3], [3]]);
    expect(places('b', 'undated')).toEqual([2]);
    expect(places('tarn', 'all')).toEqual([]);
  });
});
