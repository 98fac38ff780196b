import { Module } from '@nestjs/common';
import { MailController } from './mail.controller.js';
import { NoticesController } from './notices.controller.js';

@Module({ controllers: [NoticesController, MailController] })
export class NoticesModule {}
