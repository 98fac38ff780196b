import { checkpoint } from './checkpoint.js';
import { controlUnread } from './control-unread.js';
import { JOB_NAMES } from './names.js';
import { recordCheck } from './record-check.js';
import type { Handlers } from './runner.js';
import { stepOver } from './step-over.js';

export const HANDLERS: Handlers = {
  [JOB_NAMES.stepOver]: stepOver,
  [JOB_NAMES.controlUnread]: controlUnread,
  [JOB_NAMES.recordCheck]: recordCheck,
  [JOB_NAMES.checkpoint]: checkpoint,
};
