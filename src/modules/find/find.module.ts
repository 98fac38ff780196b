import { Module } from '@nestjs/common';
import { FindController } from './find.controller.js';

@Module({ controllers: [FindController] })
export class FindModule {}
