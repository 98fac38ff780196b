import { Module } from '@nestjs/common';
import { TimeController } from './time.controller.js';

@Module({ controllers: [TimeController] })
export class TimeModule {}
