import { named } from './application-identifiers.js';
import { type ReadElement } from './content.js';
import { Gs1Fault } from './fault.js';

/**
 * Judges which elements must and may not stand together, over everything that marks one item: equal values when an AI
 * is repeated, mandatory and invalid pairs; `carried` are AIs that a carrier holds outside of element strings. Throws
 * Gs1Fault. Source: GS1 General Specifications, section 4 (data relationships).
 */
export function checkAssociations(elements: readonly ReadElement[], carried: readonly string[]): void {
  for (const [i, { ai, value, at }] of elements.entries()) {
    const other = elements.slice(i + 1).find((e) => e.ai.ai === ai.ai && e.value !== value);
    if (other !== undefined) {
      const message = `${named(ai.ai)} stands twice with different values, "${value}" and "${other.value}" at character ${other.at}; one item has one.`;
      throw new Gs1Fault('GS1_REPEATED', other.at, message);
    }
    const beside = [...elements.map((e) => e.ai.ai), ...carried].filter((number) => number !== ai.ai);
    const excluded = beside.find((number) => ai.excludes.some((pattern) => matches(number, pattern)));
    if (excluded !== undefined) {
      const message = `${named(ai.ai)} may not stand with ${named(excluded)} on one item; they belong to different labels.`;
      throw new Gs1Fault('GS1_NEVER_WITH', at, message);
    }
    for (const need of ai.requires) {
      if (!need.some((alternative) => alternative.every((p) => beside.some((number) => matches(number, p))))) {
        const choices = need.map((alternative) => alternative.map(named).join(' with ')).join(' or ');
        const message = `${named(ai.ai)} cannot stand alone; it needs ${choices}.`;
        throw new Gs1Fault('GS1_MISSING_AI', at, message);
      }
    }
  }
}

/** `matches('3103', '31nn')` is true. */
function matches(ai: string, pattern: string): boolean {
  return ai.startsWith(pattern.replace(/n+$/, ''));
}
