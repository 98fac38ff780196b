import nodemailer from 'nodemailer';
import type { MailSettings } from '../config.js';
import { MailRow } from '../store/rows/alerts.entity.js';
import type { Handler } from './runner.js';

const ANSWER_MS = 20_000;

/** Hands a message of the outbox to the mail server. A repeat after a crash carries the same Message-ID. */
export const sendMail: Handler = async (mailId, { store, clock, laboratoryId, mail }) => {
  const row = await store.read(laboratoryId, (view) => view.one(MailRow, { id: mailId }));
  if (!row || row.sentAt !== null) return;
  const attempts = row.attempts + 1;
  const change = (values: Partial<MailRow>): Promise<number> =>
    store.housekeep(laboratoryId, (unit) => unit.change(MailRow, { id: mailId }, values));
  if (mail === null) {
    await change({
      error: 'Mail is not set up here any more; set SMTP_URL, MAIL_FROM and MAIL_TO, and send it again.',
    });
    return;
  }
  try {
    await deliver(mail, row);
  } catch (error) {
    await change({ attempts, error: error instanceof Error ? error.message : String(error) });
    throw error;
  }
  await change({ attempts, sentAt: clock.now(), error: null });
};

async function deliver({ url, from, to }: MailSettings, { id, at, subject, text }: MailRow): Promise<void> {
  const transport = nodemailer.createTransport({
    url,
    connectionTimeout: ANSWER_MS,
    greetingTimeout: ANSWER_MS,
    socketTimeout: ANSWER_MS,
    disableFileAccess: true,
    disableUrlAccess: true,
  });
  try {
    const messageId = `<${id}@stainwright.invalid>`;
    await transport.sendMail({ from, to: [...to], subject, text, date: new Date(at), messageId });
  } finally {
    transport.close();
  }
}
