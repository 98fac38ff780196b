import { describe, expect, it } from '@jest/globals';
import { hazardMark } from '../../../src/core/labels/hazards.js';
import { labelText } from '../../../src/core/labels/label-text.js';
import { labelAt, SHEETS } from '../../../src/core/labels/sheets.js';
import type { Caution } from '../../../src/core/protocol/protocol.js';
import { shippedReagents } from '../../support/bedside.js';

const caution = (codes: string[], signal: Caution['signal']): Caution => ({ agent: 'x', codes, signal, source: 'clp' });

describe('The text of a label', () => {
  const reagent = {
    code: 'ao',
    name: 'Acridine orange',
    kind: 'dye' as const,
    storage: { min: 2, max: 8, dark: true, status: 'proposal' as const },
  };
  const lot = {
    ...{
      number: 'QUILL-7',
      origin: 'supplied' as const,
      source: 'Quill Dyeworks',
      receivedAt: '2026-11-25T09:00:00.000Z',
    },
    ...{ expiry: '2027-01-31', strength: '0.6 mmol/L', storage: null },
  };
  const label = 'SW1:C:7K3M-00424';

  // 42 CFR 493.1252(c): identity, strength, storage, preparation date, expiry.
  it('carries identity, strength, storage and dates in the laboratory’s zone', () => {
    const limits = [{ by: 'opened' as const, until: '2026-12-26T01:00:00.000Z' }];
    const opened = labelText(
      { label, size: '100 mL', openedAt: '2026-11-26T00:30:00.000Z', limits },
      lot,
      reagent,
      'Atlantic/Azores',
    );
    expect(opened).toEqual({
      code: label,
      identity: 'Acridine orange, 0.6 mmol/L',
      lines: [
        'Lot QUILL-7, 100 mL',
        'Received 2026-11-25',
        'Expires 2027-01-31',
        'Opened 2026-11-25',
        'Use to the end of 2026-12-25',
        'Store between 2 and 8 °C, in the dark',
      ],
      hazards: null,
    });
    const unopened = labelText(
      { label, size: null, openedAt: null, limits: [] },
      { ...lot, storage: '2 to 8 Cel' },
      reagent,
      'UTC',
    );
    expect(unopened.lines.slice(-2)).toEqual(['Opened ____________', 'Store 2 to 8 Cel']);
  });

  it('gives who prepared a solution and when, and the minute of a limit within the day', () => {
    const made = { ...lot, origin: 'prepared' as const, source: 'Ada Tidewater', expiry: null };
    const limits = [{ by: 'prepared' as const, until: '2026-11-25T17:00:00.000Z' }];
    const text = labelText(
      { label, size: null, openedAt: '2026-11-25T09:00:00.000Z', limits },
      made,
      reagent,
      'Atlantic/Azores',
    );
    expect(text.lines.slice(1, 3)).toEqual(['Prepared 2026-11-25 by Ada Tidewater', 'Use before 2026-11-25 16:00']);
  });
});

describe('Hazards on a label', () => {
  // UN GHS Annex 3: the statements of H225 and H350; one signal word, Danger before Warning (CLP Article 20(3)). From memory.
  it('have one signal word, every code once with its statement, and short words', () => {
    expect(hazardMark([caution(['H350', 'H225'], 'Danger'), caution(['H225', 'H351'], 'Warning')])).toEqual({
      signal: 'Danger',
      codes: ['H225', 'H350', 'H351'],
      statements: ['Highly flammable liquid and vapour', 'May cause cancer', 'Suspected of causing cancer'],
      words: ['highly flammable', 'cancer'],
    });
    expect(hazardMark([caution([], 'none')])).toBeNull();
  });

  it('are known for every code of the shipped catalogue', () => {
    const unknown = shippedReagents().flatMap(({ cautions = [] }) => {
      const mark = hazardMark(cautions);
      return mark ? mark.codes.filter((code, n) => mark.statements[n] === code) : [];
    });
    expect(unknown).toEqual([]);
  });
});

describe('Sheets of labels', () => {
  it.each(Object.entries(SHEETS))('%s lies within its page, no label on another', (_id, sheet) => {
    const count = sheet.columns * sheet.rows;
    const last = labelAt(sheet, count - 1);
    expect(last.page).toBe(0);
    // A tenth of a millimetre is lost in the figures of the trade.
    expect(last.x + sheet.label.width).toBeLessThanOrEqual(sheet.page.width + 0.1);
    expect(last.y + sheet.label.height).toBeLessThanOrEqual(sheet.page.height + 0.1);
    expect(sheet.across).toBeGreaterThanOrEqual(sheet.label.width);
    expect(sheet.down).toBeGreaterThanOrEqual(sheet.label.height);
    expect(labelAt(sheet, count)).toEqual({ ...labelAt(sheet, 0), page: 1 });
    expect(labelAt(sheet, sheet.columns)).toMatchObject({ x: sheet.left, y: sheet.top + sheet.down });
  });
});
