import { type StepUse, stepUses } from '../../core/run/bath-uses.js';
import type { RunEventKind } from '../../core/run/events.js';
import { runState } from '../../core/run/state.js';
import type { Instant } from '../../core/time/instant.js';
import { labelledContainer } from '../questions/ledger.js';
import type { LoadedRun } from '../questions/runs.js';
import { BathUseRow } from '../rows/preparations.entity.js';
import type { Unit } from '../unit.js';

/** Only these can change which bath a run's slides went through. */
const CHANGING: readonly RunEventKind[] = ['tray-scanned', 'step-started', 'corrected'];

/** A bath whose load changed, from an instant on. */
export interface ChangedLoad {
  containerId: string;
  at: Instant;
}

/**
 * Keeps which baths the slides of a run went through, so that a bath's load is known without reading its runs. What a
 * correction took back is kept with no slides, and of one step in one run the latest row counts. Answers which loads
 * changed, and since when.
 */
export async function useBaths(unit: Unit, loaded: LoadedRun, kind: RunEventKind): Promise<ChangedLoad[]> {
  if (!CHANGING.includes(kind)) return [];
  const { run, revision, subjects, events } = loaded;
  const state = runState(revision.content, events);
  const baths = new Set<string>();
  for (const { container } of state.tray) {
    if ((await labelledContainer(unit, container)).vessel === 'bath') baths.add(container);
  }
  // A correction may have taken the only scan of a bath back.
  if (baths.size === 0 && kind !== 'corrected') return [];
  const changed: ChangedLoad[] = [];
  const kept = new Map<string, BathUseRow>();
  for (const row of await unit.all(BathUseRow, { runId: run.id }, { order: { seq: 'ASC', id: 'ASC' } })) {
    kept.set(nameOf({ container: row.containerId, step: row.step }), row);
  }
  const uses = new Map(
    stepUses(state)
      .filter(({ container }) => baths.has(container))
      .map((use) => [nameOf(use), use]),
  );
  for (const [name, { container, step, at }] of uses) {
    const before = kept.get(name);
    if (before && before.at === at && before.slides === subjects.length) continue;
    await unit.insert(BathUseRow, { containerId: container, runId: run.id, step, at, slides: subjects.length });
    changed.push({ containerId: container, at: before && before.at < at ? before.at : at });
  }
  for (const [name, { containerId, step, at, slides }] of kept) {
    if (!uses.has(name) && slides > 0) {
      await unit.insert(BathUseRow, { containerId, runId: run.id, step, at, slides: 0 });
      changed.push({ containerId, at });
    }
  }
  return changed;
}

function nameOf({ container, step }: Pick<StepUse, 'container' | 'step'>): string {
  return `${container} ${step}`;
}
