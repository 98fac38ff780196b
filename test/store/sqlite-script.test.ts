import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import sqlite3 from 'sqlite3';
import { literal } from '../../src/store/sqlite-script.js';

describe('An SQLite literal', () => {
  const database = new sqlite3.Database(':memory:');
  const read = (value: unknown): Promise<unknown> =>
    new Promise((resolve, reject) => {
      database.get<{ it: unknown }>(`SELECT ${literal(value)} AS it`, (error, row) =>
        error ? reject(error) : resolve(row.it),
      );
    });

  it('reads back as the text that it was made of', async () => {
    const text = fc
      .string({ unit: 'binary', maxLength: 40 })
      .filter((each) => !each.includes('\u0000') && each.isWellFormed());
    const tricky = fc.array(fc.constantFrom("'", "''", '"', '\\', ';', '--', '/*', '$1', '?', '\n', '%', '{', 'x'), {
      maxLength: 12,
    });
    await fc.assert(
      fc.asyncProperty(
        fc.oneof(
          text,
          tricky.map((parts) => parts.join('')),
        ),
        async (each) => expect(await read(each)).toBe(each),
      ),
    );
  });

  it('reads back as the number or the nothing that it was made of', async () => {
    await fc.assert(fc.asyncProperty(fc.maxSafeInteger(), async (each) => expect(await read(each)).toBe(each)));
    expect(await read(true)).toBe(1);
    expect(await read(null)).toBeNull();
  });

  it('is refused for what none can hold', () => {
    for (const value of ['a\u0000b', Number.NaN, Number.POSITIVE_INFINITY, {}, 3n])
      expect(() => literal(value)).toThrow(TypeError);
  });
});
