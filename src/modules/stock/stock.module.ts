import { Module } from '@nestjs/common';
import { LabelsService } from './labels.service.js';
import { ScanService } from './scan.service.js';
import { StockController } from './stock.controller.js';
import { StockService } from './stock.service.js';

@Module({ controllers: [StockController], providers: [StockService, ScanService, LabelsService] })
export class StockModule {}
