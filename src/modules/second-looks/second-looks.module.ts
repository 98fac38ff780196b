import { Module } from '@nestjs/common';
import { SecondLooksController } from './second-looks.controller.js';
import { SecondLooksService } from './second-looks.service.js';

@Module({ controllers: [SecondLooksController], providers: [SecondLooksService] })
export class SecondLooksModule {}
