import { Module } from '@nestjs/common';
import { BuyingController } from './buying.controller.js';
import { BuyingService } from './buying.service.js';
import { DocumentsService } from './documents.service.js';
import { OrdersController } from './orders.controller.js';
import { OrdersService } from './orders.service.js';
import { OutlookService } from './outlook.service.js';
import { ReceiptsService } from './receipts.service.js';

@Module({
  controllers: [BuyingController, OrdersController],
  providers: [BuyingService, OutlookService, OrdersService, ReceiptsService, DocumentsService],
})
export class OrdersModule {}
