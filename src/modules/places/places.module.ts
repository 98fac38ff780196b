import { Module } from '@nestjs/common';
import { HoldsService } from './holds.service.js';
import { LeavingService } from './leaving.service.js';
import { PlacesController } from './places.controller.js';
import { PlacesService } from './places.service.js';
import { TemperaturesService } from './temperatures.service.js';

@Module({
  controllers: [PlacesController],
  providers: [PlacesService, TemperaturesService, HoldsService, LeavingService],
})
export class PlacesModule {}
