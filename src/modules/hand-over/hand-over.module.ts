import { Module } from '@nestjs/common';
import { HandOverController } from './hand-over.controller.js';
import { HandOverService } from './hand-over.service.js';

@Module({ controllers: [HandOverController], providers: [HandOverService] })
export class HandOverModule {}
