import { IsNull } from 'typeorm';
import { JobRow, NoticeRow } from '../rows/jobs.entity.js';
import { MailRow } from '../rows/alerts.entity.js';
import { MAIL_JOB } from '../acts/queue-mail.js';
import type { View } from '../view.js';

/** Notices that nobody has seen yet, newest first. */
export function unseenNotices(view: View): Promise<NoticeRow[]> {
  return view.all(NoticeRow, { seenBy: IsNull() }, { order: { at: 'DESC', id: 'DESC' }, take: 200 });
}

/** A message and whether it is still tried. */
export type KnownMail = MailRow & { state: 'waiting' | 'sent' | 'given up' };

/** The messages of late, newest first. */
export async function outbox(view: View): Promise<KnownMail[]> {
  const rows = await view.all(MailRow, {}, { order: { id: 'DESC' }, take: 50 });
  return Promise.all(rows.map(async (row) => ({ ...row, state: row.sentAt ? 'sent' : await stateOf(view, row.id) })));
}

async function stateOf(view: View, mailId: string): Promise<'waiting' | 'given up'> {
  for (const state of ['waiting', 'handed'] as const) {
    if (await view.one(JobRow, { name: MAIL_JOB, target: mailId, state })) return 'waiting';
  }
  return 'given up';
}
