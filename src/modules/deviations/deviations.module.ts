import { Module } from '@nestjs/common';
import { DeviationsController } from './deviations.controller.js';
import { DeviationsService } from './deviations.service.js';
import { TrendsService } from './trends.service.js';

@Module({ controllers: [DeviationsController], providers: [DeviationsService, TrendsService] })
export class DeviationsModule {}
