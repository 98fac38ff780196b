import { Module } from '@nestjs/common';
import { ProtocolsController } from './protocols.controller.js';
import { ProtocolsService } from './protocols.service.js';
import { ReagentsService } from './reagents.service.js';
import { Shipped } from './shipped.js';

@Module({ controllers: [ProtocolsController], providers: [ProtocolsService, ReagentsService, Shipped] })
export class ProtocolsModule {}
