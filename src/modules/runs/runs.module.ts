import { Module } from '@nestjs/common';
import { PaperSheetsController } from './paper-sheets.controller.js';
import { PaperSheetsService } from './paper-sheets.service.js';
import { RunsController } from './runs.controller.js';
import { RunsService } from './runs.service.js';

@Module({ controllers: [RunsController, PaperSheetsController], providers: [RunsService, PaperSheetsService] })
export class RunsModule {}
