import { expect } from '@jest/globals';

export type Json = null | boolean | number | string | Json[] | { [key: string]: Json };

/** Expects at least the keys of `expected`, numbers within the larger of the relative and the absolute tolerance. */
export function expectClose(got: unknown, expected: Json, tolerance: { rel: number; abs: number }, at = ''): void {
  if (typeof expected === 'number') {
    const close =
      typeof got === 'number' &&
      Math.abs(got - expected) <= Math.max(tolerance.abs, tolerance.rel * Math.abs(expected));
    if (!close) expect({ [at]: got }).toEqual({ [at]: expected });
  } else if (typeof expected === 'object' && expected !== null) {
    expect({ [at]: typeof got }).toEqual({ [at]: 'object' });
    if (Array.isArray(expected)) expect({ [at]: (got as unknown[]).length }).toEqual({ [at]: expected.length });
    for (const [key, value] of Object.entries(expected)) {
      expectClose((got as Record<string, unknown>)[key], value, tolerance, `${at}.${key}`);
    }
  } else {
    expect({ [at]: got }).toEqual({ [at]: expected });
  }
}
