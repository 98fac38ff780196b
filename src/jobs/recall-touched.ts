import { counted } from '../core/counted.js';
import { queueMail } from '../store/acts/queue-mail.js';
import { recalledShipments } from '../store/questions/lookbacks.js';
import { peopleConcerned } from '../store/questions/recalls.js';
import { reagentName } from '../store/questions/reagents.js';
import { tracedLots } from '../store/questions/trace/lots.js';
import { reachOf } from '../store/questions/trace/reach.js';
import { traceCounts } from '../store/questions/trace/runs.js';
import { RecallRow } from '../store/rows/lookback.entity.js';
import { JOB_NAMES } from './names.js';
import type { Handler } from './runner.js';

/** Counts what a recall touches and tells it to each who did or released such a run. */
export const recallTouched: Handler = async (recallId, { store, laboratoryId, mail }) => {
  const { recall, reagent, counts, people } = await store.read(laboratoryId, async (view) => {
    const recall = await view.need(RecallRow, { id: recallId }, `recall ${recallId}`);
    const reach = await reachOf(view, await recalledShipments(view, recallId));
    return {
      recall,
      reagent: await reagentName(view, recall.reagentCode),
      counts: await traceCounts(view, reach, await tracedLots(view, reach)),
      people: await peopleConcerned(view, reach),
    };
  });
  const { number, reason } = recall;
  const path = `/stock/recalls/${recallId}`;
  const touched = `${counted(counts.runs, 'run')}, ${counted(counts.subjects, 'specimen or slide of a patient', 'specimens or slides of patients')} and ${counted(counts.releases, 'release')}`;
  const text = `The recall of lot ${number} of ${reagent} touches ${touched}. The people concerned are listed with the recall.`;
  await store.housekeep(laboratoryId, async (unit) => {
    const matter = `${JOB_NAMES.recallTouched}:${recallId}`;
    const first = await unit.tell(matter, text, null, { path });
    for (const { personId, name, ran, released } of people) {
      const own = `${name} did ${ran} and released ${released} of what the recall of lot ${number} of ${reagent} touches: ${reason}`;
      await unit.tell(`${matter}:${personId}`, own, null, { path, personId });
    }
    if (first !== null && mail !== null) {
      await queueMail(unit, { subject: `Stainwright: lot ${number} is recalled`, text: `${text}\n\n${reason}` });
    }
  });
};
