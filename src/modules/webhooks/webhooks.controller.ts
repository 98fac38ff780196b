import { Body, Controller, Get, HttpCode, Param, Patch, Post, Query } from '@nestjs/common';
import {
  ChangedWebhookDto,
  DeliveryListDto,
  DeliveryQueryDto,
  NewWebhookDto,
  NewWebhookSecretDto,
  WebhookDto,
  WebhookWithSecretDto,
} from '../../contract/webhooks.dto.js';
import { Acting, Allow, OnceKey } from '../http/access.js';
import { WebhooksService } from './webhooks.service.js';

/** Other programs that are told of what happens here. Only an administrator says to whom. */
@Controller('webhooks')
export class WebhooksController {
  constructor(private readonly webhooks: WebhooksService) {}

  /** Every endpoint; no secret is told here. */
  @Get()
  @Allow('administrator', 'manager', 'director')
  list(@Acting() acting: Acting): Promise<WebhookDto[]> {
    return this.webhooks.list(acting);
  }

  /** Adds an endpoint and answers its secret, once. */
  @Post()
  @Allow('administrator')
  add(@Acting() acting: Acting, @Body() wanted: NewWebhookDto): Promise<WebhookWithSecretDto> {
    return this.webhooks.add(acting, wanted);
  }

  /** Messages, the newest first. */
  @Get('deliveries')
  @Allow('administrator', 'manager', 'director')
  deliveries(@Acting() acting: Acting, @Query() query: DeliveryQueryDto): Promise<DeliveryListDto> {
    return this.webhooks.deliveries(acting, query);
  }

  /** Tries a message again that was given up. */
  @Post('deliveries/:id/again')
  @HttpCode(202)
  @Allow('administrator')
  again(@Acting() acting: Acting, @Param('id') id: string, @OnceKey() key?: string): Promise<DeliveryListDto> {
    return this.webhooks.again(acting, id, key);
  }

  /** Changes an endpoint, or switches it off or on. */
  @Patch(':id')
  @Allow('administrator')
  change(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() wanted: ChangedWebhookDto,
    @OnceKey() key?: string,
  ): Promise<WebhookDto> {
    return this.webhooks.change(acting, id, wanted, key);
  }

  /** Makes the next secret and answers it, once; the one before signs beside it for some hours. */
  @Post(':id/secret')
  @Allow('administrator')
  rotate(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() { overlapHours }: NewWebhookSecretDto,
  ): Promise<WebhookWithSecretDto> {
    return this.webhooks.rotate(acting, id, overlapHours);
  }

  /** Sends a message that only says that messages arrive. */
  @Post(':id/trial')
  @HttpCode(202)
  @Allow('administrator')
  trial(@Acting() acting: Acting, @Param('id') id: string, @OnceKey() key?: string): Promise<DeliveryListDto> {
    return this.webhooks.trial(acting, id, key);
  }
}
