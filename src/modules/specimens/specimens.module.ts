import { Module } from '@nestjs/common';
import { SpecimensController } from './specimens.controller.js';
import { SpecimensService } from './specimens.service.js';

@Module({ controllers: [SpecimensController], providers: [SpecimensService] })
export class SpecimensModule {}
