import type { Use } from './coverage.js';
import type { ControlTask } from './task.js';

/** A protocol's uses and control tasks within some days. */
interface Scheduled {
  protocolId: string;
  title: string;
  uses: readonly Use[];
  tasks: readonly ControlTask[];
}

/** The days on which a protocol was used, and how many of its uses went without a control. */
export interface ProtocolDays {
  protocolId: string;
  title: string;
  daysOfUse: number;
  daysWithout: number;
  uses: number;
  usesWithout: number;
  /** Days of use alone, earliest first. */
  days: { day: string; uses: number; without: number; waiting: number; missing: string[] }[];
}

/**
 * On which local days a protocol was used and what its control tasks leave uncovered there (42 CFR 493.1256(d), (e)); on
 * `today` and later a use without a control only waits for it. A day of two uses of which one was covered has `without` 1.
 */
export function daysOfUse({ protocolId, title, uses, tasks }: Scheduled, today: string): ProtocolDays {
  const reasons = new Map<string, Set<string>>();
  for (const { uncovered, requirement, clock } of tasks) {
    for (const run of uncovered) {
      const known = reasons.get(run) ?? new Set();
      reasons.set(run, known.add(`${requirement}: ${clock}`));
    }
  }
  const days = [...new Set(uses.map(({ day }) => day))].map((day) => {
    const own = uses.filter((use) => use.day === day);
    const open = own.filter(({ runId }) => reasons.has(runId));
    const missing = [...new Set(open.flatMap(({ runId }) => [...(reasons.get(runId) ?? [])]))].sort();
    const over = day < today;
    return { day, uses: own.length, without: over ? open.length : 0, waiting: over ? 0 : open.length, missing };
  });
  return {
    protocolId,
    title,
    daysOfUse: days.length,
    daysWithout: days.filter(({ without }) => without > 0).length,
    uses: uses.length,
    usesWithout: days.reduce((sum, { without }) => sum + without, 0),
    days,
  };
}
