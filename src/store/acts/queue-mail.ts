import { v7 as newId } from 'uuid';
import { MailRow } from '../rows/alerts.entity.js';
import type { Unit } from '../unit.js';

/** Name of the job that hands a message to the mail server; its target is the message. */
export const MAIL_JOB = 'mail';

/** Puts a message into the outbox with the unit's commit; only where mail is set up. */
export async function queueMail(unit: Unit, { subject, text }: { subject: string; text: string }): Promise<string> {
  const id = newId();
  await unit.add(MailRow, { id, at: unit.at, subject, text, sentAt: null, attempts: 0, error: null });
  await unit.enqueue(MAIL_JOB, id);
  return id;
}
