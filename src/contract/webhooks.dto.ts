import { ApiProperty } from '@nestjs/swagger';
import { ArrayMinSize, ArrayUnique, IsBoolean, IsIn, IsInt, Max, Min } from 'class-validator';
import { TOPICS, type Topic } from '../core/webhook/topics.js';
import { ListDto } from './list.dto.js';
import { MayBeAbsent, Text } from './shape.js';

const DELIVERY_STATES = ['waiting', 'delivered', 'given up'] as const;

export class NewWebhookDto {
  @Text(80) name: string;
  /** Where messages go: HTTPS, or plain HTTP to this very machine. */
  @Text(2000) url: string;
  /** What it is told of. */
  @ApiProperty({ enum: TOPICS, isArray: true })
  @IsIn(TOPICS, { each: true })
  @ArrayMinSize(1)
  @ArrayUnique()
  topics: Topic[];
}

export class ChangedWebhookDto {
  @MayBeAbsent() @Text(80) name?: string;
  @MayBeAbsent() @Text(2000) url?: string;
  @ApiProperty({ enum: TOPICS, isArray: true, required: false })
  @MayBeAbsent()
  @IsIn(TOPICS, { each: true })
  @ArrayMinSize(1)
  @ArrayUnique()
  topics?: Topic[];
  /** What happens while it is switched off is not told later. */
  @MayBeAbsent() @IsBoolean() active?: boolean;
}

export class NewWebhookSecretDto {
  /** Hours for which messages carry the signature of the old secret as well. */
  @IsInt() @Min(0) @Max(168) overlapHours: number;
}

export class WebhookSecretDto {
  id: string;
  createdAt: string;
  /** When it stops signing; null for the newest. */
  @ApiProperty({ type: String, nullable: true }) until: string | null;
}

/** Another program that is told of what happens here. */
export class WebhookDto {
  id: string;
  name: string;
  url: string;
  @ApiProperty({ enum: TOPICS, isArray: true }) topics: Topic[];
  active: boolean;
  createdAt: string;
  /** Those that sign now. */
  secrets: WebhookSecretDto[];
}

/** An endpoint with its newest secret, which is told here and never again. */
export class WebhookWithSecretDto extends WebhookDto {
  secret: string;
}

export class DeliveryQueryDto extends ListDto {
  /** Id of an endpoint. */
  @MayBeAbsent() @Text(64) webhook?: string;
}

/** A message to an endpoint. */
export class DeliveryDto {
  id: string;
  webhookId: string;
  at: string;
  @ApiProperty({ enum: [...TOPICS, 'trial'] }) topic: Topic | 'trial';
  /** What is sent, as it is sent. */
  body: string;
  @ApiProperty({ enum: DELIVERY_STATES }) state: (typeof DELIVERY_STATES)[number];
  attempts: number;
  @ApiProperty({ type: String, nullable: true }) deliveredAt: string | null;
  /** What went wrong when it was tried last. */
  @ApiProperty({ type: String, nullable: true }) error: string | null;
}

export class DeliveryListDto {
  items: DeliveryDto[];
  /** What to ask with as `after` for the next part; null at the end. */
  @ApiProperty({ type: String, nullable: true }) next: string | null;
}
