import { Module } from '@nestjs/common';
import { ProtocolsController } from './protocols.controller.js';
import { ProtocolsService } from './protocols.service.js';
import { Shipped } from './shipped.js';

@Module({ controllers: [ProtocolsController], providers: [ProtocolsService, Shipped] })
export class ProtocolsModule {}
