import { Controller, Get, HttpCode, Param, Post } from '@nestjs/common';
import { Config } from '../../config.js';
import { OutboxDto } from '../../contract/notices.dto.js';
import { Refusal } from '../../core/refusal.js';
import { MAIL_JOB, queueMail } from '../../store/acts/queue-mail.js';
import { outbox } from '../../store/questions/notices.js';
import { MailRow } from '../../store/rows/alerts.entity.js';
import { Store } from '../../store/store.js';
import { type Acting as ActingPerson, Acting, Allow, OnceKey, onceOf } from '../http/access.js';

/** The outbox: what was mailed, what waits, and what the mail server said. */
@Controller('mail')
export class MailController {
  constructor(
    private readonly store: Store,
    private readonly config: Config,
  ) {}

  /** Whether and where mail goes, and the messages of late, newest first. */
  @Get()
  @Allow('manager', 'director', 'administrator', 'reviewer')
  async list(@Acting() { laboratoryId }: ActingPerson): Promise<OutboxDto> {
    const { mail } = this.config;
    const items = await this.store.read(laboratoryId, outbox);
    return {
      from: mail?.from ?? null,
      to: [...(mail?.to ?? [])],
      items: items.map(({ id, at, subject, text, state, attempts, sentAt, error }) => ({
        id,
        at,
        subject,
        text,
        state,
        attempts,
        sentAt,
        error,
      })),
    };
  }

  /** Sends a message that only says that mail works. */
  @Post('trial')
  @HttpCode(202)
  @Allow('manager', 'director', 'administrator')
  async trial(@Acting() acting: ActingPerson, @OnceKey() key?: string): Promise<OutboxDto> {
    this.needMail();
    await this.store.change(
      acting,
      'mail.tried',
      async (unit) => {
        const text = `${acting.name} asked for this message to see whether mail arrives. Nothing needs to be done.`;
        unit.about('mail', await queueMail(unit, { subject: 'Stainwright: a trial', text }));
        return null;
      },
      onceOf(key, {}),
    );
    return this.list(acting);
  }

  /** Tries a message again that was given up. */
  @Post(':id/again')
  @HttpCode(202)
  @Allow('manager', 'director', 'administrator')
  async again(@Acting() acting: ActingPerson, @Param('id') id: string, @OnceKey() key?: string): Promise<OutboxDto> {
    this.needMail();
    await this.store.change(
      acting,
      'mail.tried-again',
      async (unit) => {
        const { sentAt } = await unit.need(MailRow, { id }, `message ${id}`);
        if (sentAt !== null) throw new Refusal('conflict', 'sent-already', `This message was sent at ${sentAt}.`);
        await unit.enqueue(MAIL_JOB, id);
        unit.about('mail', id);
        return null;
      },
      onceOf(key, { id }),
    );
    return this.list(acting);
  }

  private needMail(): void {
    if (this.config.mail !== null) return;
    const message = 'Mail is not set up; ask the administrator to set SMTP_URL, MAIL_FROM and MAIL_TO.';
    throw new Refusal('conflict', 'no-mail', message);
  }
}
