import { Module } from '@nestjs/common';
import { CompetenceController } from './competence.controller.js';
import { CompetenceService } from './competence.service.js';

@Module({ controllers: [CompetenceController], providers: [CompetenceService] })
export class CompetenceModule {}
