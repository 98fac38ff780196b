import { alerts } from './alerts.js';
import { checkpoint } from './checkpoint.js';
import { controlTasks } from './control-tasks.js';
import { controlUnread } from './control-unread.js';
import { makePack } from './make-pack.js';
import { measurePicture } from './measure-picture.js';
import { JOB_NAMES } from './names.js';
import { sendMail } from './mail.js';
import { recallTouched } from './recall-touched.js';
import { recordCheck } from './record-check.js';
import type { Handlers, Patience } from './runner.js';
import { secondLook } from './second-look.js';
import { stepOver } from './step-over.js';
import { deliverWebhook } from './webhook.js';

export const HANDLERS: Handlers = {
  [JOB_NAMES.stepOver]: stepOver,
  [JOB_NAMES.controlUnread]: controlUnread,
  [JOB_NAMES.recordCheck]: recordCheck,
  [JOB_NAMES.checkpoint]: checkpoint,
  [JOB_NAMES.controlTasks]: controlTasks,
  [JOB_NAMES.alerts]: alerts,
  [JOB_NAMES.recallTouched]: recallTouched,
  [JOB_NAMES.secondLook]: secondLook,
  [JOB_NAMES.mail]: sendMail,
  [JOB_NAMES.webhook]: deliverWebhook,
  [JOB_NAMES.measurePicture]: measurePicture,
  [JOB_NAMES.makePack]: makePack,
};

/** Another program may be restarted or mended meanwhile: twelve tries, the last a little over two hours after the first. */
export const PATIENCE_OF: Readonly<Record<string, Patience>> = {
  [JOB_NAMES.webhook]: { attempts: 12, firstMs: 5_000 },
};
