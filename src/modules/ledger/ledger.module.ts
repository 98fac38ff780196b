import { Module } from '@nestjs/common';
import { ExportService } from './export.service.js';
import { ImportService } from './import.service.js';
import { LedgerController } from './ledger.controller.js';
import { LedgerService } from './ledger.service.js';

@Module({ controllers: [LedgerController], providers: [LedgerService, ExportService, ImportService] })
export class LedgerModule {}
