import { Module } from '@nestjs/common';
import { ControlResultsController } from './control-results.controller.js';
import { FailuresController } from './failures.controller.js';
import { FailuresService } from './failures.service.js';
import { SeriesController } from './series.controller.js';
import { SeriesService } from './series.service.js';

@Module({
  controllers: [ControlResultsController, FailuresController, SeriesController],
  providers: [FailuresService, SeriesService],
})
export class ControlResultsModule {}
