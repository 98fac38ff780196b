import type { RunEvent } from '../../core/run/events.js';
import { TrayUseRow } from '../rows/lookback.entity.js';
import type { Unit } from '../unit.js';

/** Keeps that a container was put on a run's tray, so that a recall finds the run without reading every event. */
export async function useOnTray(unit: Unit, event: RunEvent & { kind: 'tray-scanned' }): Promise<void> {
  const { id: eventId, runId, data, stamp, personId } = event;
  const { container: containerId, reagent: reagentCode } = data;
  await unit.insert(TrayUseRow, { runId, containerId, reagentCode, eventId, personId, at: stamp.at });
}
