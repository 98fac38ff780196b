import { Column, Entity, ForeignKey, Index, PrimaryColumn } from 'typeorm';
import type { Instant } from '../../core/time/instant.js';
import type { EndpointSecret } from '../../core/webhook/secrets.js';
import type { Topic } from '../../core/webhook/topics.js';

/** Another program that is told of what happens here. */
@Entity('webhook')
@Index('webhook_active', ['laboratoryId', 'active'])
export class WebhookRow {
  @PrimaryColumn('text')
  id: string;

  @Column('text')
  laboratoryId: string;

  @Column('text')
  name: string;

  @Column('text')
  url: string;

  @Column('simple-json')
  topics: Topic[];

  @Column('boolean')
  active: boolean;

  @Column('text')
  createdAt: Instant;
}

/** What messages to an endpoint are signed with. It is told once, when it is made, and answered by no route. */
@Entity('webhook_secret')
@Index('webhook_secret_webhook', ['webhookId'])
export class WebhookSecretRow implements EndpointSecret {
  @PrimaryColumn('text')
  id: string;

  @Column('text')
  laboratoryId: string;

  @ForeignKey(() => WebhookRow, { name: 'webhook_secret_of' })
  @Column('text')
  webhookId: string;

  @Column('text')
  secret: string;

  @Column('text')
  createdAt: Instant;

  /** When it stops signing; null for the newest. */
  @Column('text', { nullable: true })
  until: Instant | null;
}

/** A message to an endpoint, and what became of it. */
@Entity('webhook_delivery')
@Index('webhook_delivery_webhook', ['webhookId'])
export class WebhookDeliveryRow {
  @PrimaryColumn('text')
  id: string;

  @Column('text')
  laboratoryId: string;

  @ForeignKey(() => WebhookRow, { name: 'webhook_delivery_to' })
  @Column('text')
  webhookId: string;

  @Column('text')
  at: Instant;

  @Column('text')
  topic: Topic | 'trial';

  /** What is sent, byte for byte. */
  @Column('text')
  body: string;

  @Column('integer')
  attempts: number;

  @Column('text', { nullable: true })
  deliveredAt: Instant | null;

  /** What went wrong when it was tried last. */
  @Column('text', { nullable: true })
  error: string | null;
}
