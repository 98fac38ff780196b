import { counted } from '../core/counted.js';
import { queueMail } from '../store/acts/queue-mail.js';
import { tellMatters } from '../store/acts/tell-matters.js';
import { needLaboratory } from '../store/questions/laboratories.js';
import { mattersNow } from '../store/questions/matters.js';
import { JOB_NAMES } from './names.js';
import { queueNext } from './recurring.js';
import type { Handler } from './runner.js';

/** Tells what has come to hold since the last look, once for each matter, and queues the next look. */
export const alerts: Handler = async (laboratoryId, { store, clock, mail }) => {
  // First of all, so that a look which cannot be taken does not end the row of looks.
  const { zone, name } = await store.read(laboratoryId, needLaboratory);
  await store.housekeep(laboratoryId, (unit) => queueNext(unit, JOB_NAMES.alerts, zone, clock));
  const matters = await store.read(laboratoryId, (view) => mattersNow(view, { now: clock.now(), zone }));
  await store.housekeep(laboratoryId, async (unit) => {
    const fresh = await tellMatters(unit, matters);
    if (mail === null || fresh.length === 0) return;
    const subject = counted(fresh.length, 'matter');
    const text = `${fresh.map((each) => `- ${each}`).join('\n')}\n\n${name}. Each is listed among the notices until somebody has seen it.`;
    await queueMail(unit, { subject: `Stainwright: ${subject} to see to`, text });
  });
};
