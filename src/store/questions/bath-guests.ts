import type { Cytology } from '../../core/specimen/cytology.js';
import type { Instant } from '../../core/time/instant.js';
import type { View } from '../view.js';

/** What cytology went through baths, by which run; tissue, which is no matter to others, is left out. */
export async function bathGuests(
  view: View,
  baths: readonly string[],
  upToSeq: number,
): Promise<{ container: string; runId: string; at: Instant; cytology: Cytology }[]> {
  if (baths.length === 0) return [];
  const places = baths.map((_, n) => `$${n + 3}`).join(', ');
  return (await (
    await view.ready()
  ).query(
    `SELECT DISTINCT used.container_id AS "container", used.run_id AS "runId", used.at AS "at",
        COALESCE(subject.cytology, specimen.cytology) AS "cytology"
      FROM bath_use used
      JOIN run_subject ON run_subject.run_id = used.run_id AND run_subject.role = 'patient'
      JOIN subject ON subject.id = run_subject.subject_id
      LEFT JOIN subject specimen ON specimen.id = subject.parent_id
      WHERE used.laboratory_id = $1 AND used.seq <= $2 AND used.container_id IN (${places}) AND used.slides > 0
        AND COALESCE(subject.cytology, specimen.cytology) IS NOT NULL
        AND NOT EXISTS (SELECT 1 FROM bath_use later WHERE later.container_id = used.container_id
          AND later.run_id = used.run_id AND later.step = used.step AND later.seq <= $2 AND later.seq > used.seq)
      ORDER BY used.at, used.run_id`,
    [view.laboratoryId, upToSeq, ...baths],
  )) as { container: string; runId: string; at: Instant; cytology: Cytology }[];
}
