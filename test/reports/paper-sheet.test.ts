import { expect, it } from '@jest/globals';
import { paperSheetsPdf } from '../../src/reports/paper-sheet.js';
import { shipped, START } from '../support/bedside.js';
import { describeWith } from '../support/needs.js';
import { pagesOf } from '../support/pdf.js';

describeWith('pdftotext', 'Paper sheets in print', (pdftotext) => {
  it('have every step with its window, blanks for what happened, and each sheet a page of its own', async () => {
    const sheet = (number: number, id: string) => ({
      number,
      label: `SW1:F:0000000${number}X`,
      protocol: shipped(id),
      revision: 2,
      contentHash: 'cd'.repeat(32),
      reagents: new Map([['xylene', 'Xylene']]),
    });
    const options = { laboratory: 'Saltmarrow Hospital', demo: true, zone: 'Atlantic/Azores', now: START };
    const sheets = [sheet(4, 'he-harris-regressive'), sheet(5, 'ao-fresh')];
    const pages = pagesOf(pdftotext, await paperSheetsPdf(sheets, options));
    const first = pages.findIndex((page) => page.startsWith('Paper sheet 4\n') || /^ *Paper sheet 4 *$/m.test(page));
    const second = pages.findIndex((page) => /^ *Paper sheet 5 *$/m.test(page));
    expect([first, second > first]).toEqual([0, true]);
    const text = pages.slice(0, second).join('\n');
    expect(text).toContain('SW1:F:00000004X');
    expect(text).toContain('Saltmarrow Hospital (invented)');
    expect(text).toContain('Follow the local procedure for downtime');
    expect(text).toMatch(/Differentiate.* from 2 to 15 s, aim 6 s, by\s/);
    expect(text).toContain('Paper sheet 4: H&E, Harris haematoxylin, regressive, continued');
    for (const { kind } of shipped('ao-fresh').controls) expect(pages.slice(second).join('\n')).toContain(kind);
  });
});
