import { Module } from '@nestjs/common';
import { GuideController } from './guide.controller.js';

@Module({ controllers: [GuideController] })
export class GuideModule {}
