import type { Path } from './problem.js';
import type { Protocol } from './protocol.js';

/** One place at which two protocols differ; a side that has nothing there is absent. */
export interface Difference {
  /** Steps, controls and release points stand by their id, other lists by position: ['steps', 'dye', 'time', 'max']. */
  path: Path;
  before?: unknown;
  after?: unknown;
}

/**
 * Where two protocols differ, in the order of the first, for a comparison side by side; empty when they are equal. A step
 * that was added, left out or moved is one difference: a new order shows as `{ path: ['steps'], before: [ids], after: [ids] }`.
 */
export function diffProtocols(before: Protocol, after: Protocol): Difference[] {
  return differences(before, after, []);
}

function differences(before: unknown, after: unknown, path: Path): Difference[] {
  if (isRecord(before) && isRecord(after)) {
    const keys = new Set([...Object.keys(before), ...Object.keys(after)]);
    return [...keys].flatMap((key) => differences(before[key], after[key], [...path, key]));
  }
  if (Array.isArray(before) && Array.isArray(after)) {
    const was = byId(before);
    const is = byId(after);
    if (was && is) {
      const order = (ids: Map<string, unknown>, others: Map<string, unknown>) =>
        [...ids.keys()].filter((id) => others.has(id));
      const moved = order(was, is).join(' ') !== order(is, was).join(' ');
      const ids = new Set([...was.keys(), ...is.keys()]);
      return [
        ...(moved ? [{ path, before: [...was.keys()], after: [...is.keys()] }] : []),
        ...[...ids].flatMap((id) => differences(was.get(id), is.get(id), [...path, id])),
      ];
    }
    return Array.from({ length: Math.max(before.length, after.length) }).flatMap((_, i) =>
      differences(before[i], after[i], [...path, i]),
    );
  }
  if (before === after) {
    return [];
  }
  return [{ path, ...(before === undefined ? {} : { before }), ...(after === undefined ? {} : { after }) }];
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function byId(items: unknown[]): Map<string, unknown> | undefined {
  const entries = items.map((item) =>
    isRecord(item) && typeof item['id'] === 'string' ? ([item['id'], item] as const) : undefined,
  );
  return entries.every((entry) => entry !== undefined) ? new Map(entries) : undefined;
}
