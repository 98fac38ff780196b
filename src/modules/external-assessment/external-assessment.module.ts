import { Module } from '@nestjs/common';
import { ExternalAssessmentController } from './external-assessment.controller.js';
import { ExternalAssessmentService } from './external-assessment.service.js';

@Module({ controllers: [ExternalAssessmentController], providers: [ExternalAssessmentService] })
export class ExternalAssessmentModule {}
