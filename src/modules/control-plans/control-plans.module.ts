import { Module } from '@nestjs/common';
import { ControlPlansController } from './control-plans.controller.js';
import { ControlPlansService } from './control-plans.service.js';
import { ControlTasksService } from './control-tasks.service.js';

@Module({ controllers: [ControlPlansController], providers: [ControlPlansService, ControlTasksService] })
export class ControlPlansModule {}
