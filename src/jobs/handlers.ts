import { alerts } from './alerts.js';
import { checkpoint } from './checkpoint.js';
import { controlTasks } from './control-tasks.js';
import { controlUnread } from './control-unread.js';
import { measurePicture } from './measure-picture.js';
import { JOB_NAMES } from './names.js';
import { sendMail } from './mail.js';
import { recallTouched } from './recall-touched.js';
import { recordCheck } from './record-check.js';
import type { Handlers } from './runner.js';
import { stepOver } from './step-over.js';

export const HANDLERS: Handlers = {
  [JOB_NAMES.stepOver]: stepOver,
  [JOB_NAMES.controlUnread]: controlUnread,
  [JOB_NAMES.recordCheck]: recordCheck,
  [JOB_NAMES.checkpoint]: checkpoint,
  [JOB_NAMES.controlTasks]: controlTasks,
  [JOB_NAMES.alerts]: alerts,
  [JOB_NAMES.recallTouched]: recallTouched,
  [JOB_NAMES.mail]: sendMail,
  [JOB_NAMES.measurePicture]: measurePicture,
};
