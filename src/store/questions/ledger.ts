import type { View } from '../view.js';

/** What a container holds by the ledger, in millionths of its reagent's declared unit. */
export async function onHandOf(view: View, containerId: string): Promise<number> {
  const [row] = (await (
    await view.ready()
  ).query('SELECT SUM(micro) AS "micro" FROM movement WHERE laboratory_id = $1 AND container_id = $2', [
    view.laboratoryId,
    containerId,
  ])) as { micro: number | null }[];
  return row?.micro ?? 0;
}
