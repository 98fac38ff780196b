import { Module } from '@nestjs/common';
import { LookbacksController } from './lookbacks.controller.js';
import { LookbacksService } from './lookbacks.service.js';
import { RecallsController } from './recalls.controller.js';
import { RecallsService } from './recalls.service.js';
import { TraceController } from './trace.controller.js';

@Module({
  controllers: [RecallsController, TraceController, LookbacksController],
  providers: [RecallsService, LookbacksService],
})
export class RecallsModule {}
