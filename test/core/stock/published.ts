import { readFileSync } from 'node:fs';

/**
 * Examples of textbooks and of independent programs; sources and making stand in each file, which states a tolerance of
 * 1e-8 relative, and each published figure to its rounding.
 */
export function published<Shape>(name: 'more-forecast' | 'more-inventory'): Shape {
  return JSON.parse(readFileSync(new URL(`../../vectors/${name}.json`, import.meta.url), 'utf8')) as Shape;
}

/** How far a computed value is from a published one, in parts of it (of 1e-3 for a published 0). */
export function miss(computed: number, expected: number): number {
  return Math.abs(computed - expected) / Math.max(Math.abs(expected), 1e-3);
}
