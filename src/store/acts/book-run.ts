import { planConsumption, type TakenFrom } from '../../core/ledger/consumption.js';
import type { RunEvent } from '../../core/run/events.js';
import { runState } from '../../core/run/state.js';
import { heldBefore, labelledContainer, usedByRun } from '../questions/ledger.js';
import type { LoadedRun } from '../questions/runs.js';
import type { Unit } from '../unit.js';
import { book, declaredUnit } from './book.js';

/**
 * Books what a run took from the containers on its tray, once it is cleared or abandoned; what was booked for it before is
 * not booked again. A shortage on paper never holds the bench up: it is kept with the movement and asks for a count.
 */
export async function bookRun(unit: Unit, loaded: LoadedRun, end: RunEvent): Promise<void> {
  const protocol = loaded.revision.content;
  if (!protocol.steps.some(({ takes }) => takes)) return;
  const state = runState(protocol, loaded.events);
  const containers = new Map<string, TakenFrom>();
  for (const id of new Set(state.tray.map(({ container }) => container))) {
    const { reagentCode, vessel } = await labelledContainer(unit, id);
    const { onHand } = await heldBefore(unit, id, unit.seq);
    containers.set(id, { id, unit: await declaredUnit(unit, reagentCode), onHand, bath: vessel === 'bath' });
  }
  const runId = loaded.run.id;
  const booked = await usedByRun(unit, runId);
  const use = { protocol, state, slides: loaded.subjects.length };
  for (const { containerId, micro, shortMicro } of planConsumption(use, containers, booked)) {
    await book(unit, {
      kind: 'used',
      containerId,
      micro: 0 - micro,
      at: end.stamp.at,
      runId,
      ...(shortMicro > 0 && { shortMicro }),
    });
  }
}
