import { Module } from '@nestjs/common';
import { KeepingController } from './keeping.controller.js';
import { KeepingService } from './keeping.service.js';

@Module({ controllers: [KeepingController], providers: [KeepingService] })
export class KeepingModule {}
