import type { Readable } from 'node:stream';
import { Body, Controller, Get, HttpCode, Param, Post, Query } from '@nestjs/common';
import {
  HoldDecisionDto,
  HoldDto,
  LeavingListDto,
  NewHoldDto,
  NewMoveDto,
  NewPlaceDto,
  NewTemperatureDto,
  NewWaterCheckDto,
  PlaceDetailDto,
  PlaceDto,
  PlaceNameDto,
  PlacesDto,
  RecordedTemperaturesDto,
  SetApartDto,
  TemperatureImportDto,
  TemperatureImportQueryDto,
  WaterCheckDto,
} from '../../contract/places.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { RawBody, TakesRaw } from '../http/raw-body.js';
import { HoldsService } from './holds.service.js';
import { LeavingService } from './leaving.service.js';
import { PlacesService } from './places.service.js';
import { TemperaturesService } from './temperatures.service.js';

@Controller()
export class PlacesController {
  constructor(
    private readonly places: PlacesService,
    private readonly temperatures: TemperaturesService,
    private readonly holds: HoldsService,
    private readonly leaves: LeavingService,
  ) {}

  /** The storage places with their latest temperatures, excursions and the holds that wait for a decision. */
  @Get('places')
  @SignedIn()
  all(@Acting() acting: Acting): Promise<PlacesDto> {
    return this.places.all(acting);
  }

  /** What the storage places are called, and nothing of what happened there. */
  @Get('place-names')
  @SignedIn()
  names(@Acting() acting: Acting): Promise<PlaceNameDto[]> {
    return this.places.names(acting);
  }

  /** Sets a storage place up, or changes the one of that code. */
  @Post('places')
  @Allow('manager', 'director')
  set(@Acting() acting: Acting, @Body() body: NewPlaceDto, @OnceKey() key?: string): Promise<PlaceDto> {
    return this.places.set(acting, body, key);
  }

  /** A storage place with what lies there and its temperatures. */
  @Get('places/:code')
  @SignedIn()
  one(@Acting() acting: Acting, @Param('code') code: string): Promise<PlaceDetailDto> {
    return this.places.one(acting, code);
  }

  /** Records a temperature read by hand. One outside the limits puts what lies there on hold. */
  @Post('places/:code/temperatures')
  @Allow('technician', 'manager', 'director')
  read(
    @Acting() acting: Acting,
    @Param('code') code: string,
    @Body() body: NewTemperatureDto,
    @OnceKey() key?: string,
  ): Promise<RecordedTemperaturesDto> {
    return this.temperatures.record(acting, code, body, key);
  }

  /**
   * Takes the temperatures of a logger from a CSV file in UTF-8 with the columns time, temperature and unit (Cel when there is
   * none): all of them, or none and every bad row by number.
   */
  @Post('places/:code/temperatures/import')
  @HttpCode(200)
  @Allow('technician', 'manager', 'director')
  @TakesRaw('text/csv')
  importFile(
    @Acting() acting: Acting,
    @Param('code') code: string,
    @Query() { dryRun }: TemperatureImportQueryDto,
    @RawBody() body: Readable,
    @OnceKey() key?: string,
  ): Promise<TemperatureImportDto> {
    return this.temperatures.importFile(acting, code, body, dryRun === 'true', key);
  }

  /** Puts a container into a storage place; refuses what must not lie there. */
  @Post('containers/:id/place')
  @Allow('technician', 'manager', 'director')
  move(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewMoveDto,
    @OnceKey() key?: string,
  ): Promise<PlaceDto> {
    return this.places.move(acting, id, body, key);
  }

  /** Records a look at the water over picric acid. */
  @Post('containers/:id/water-checks')
  @Allow('technician', 'manager', 'director')
  checkWater(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewWaterCheckDto,
    @OnceKey() key?: string,
  ): Promise<WaterCheckDto> {
    return this.places.checkWater(acting, id, body, key);
  }

  /** Puts a container on hold until a person decides. */
  @Post('containers/:id/holds')
  @Allow('technician', 'manager', 'director')
  hold(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewHoldDto,
    @OnceKey() key?: string,
  ): Promise<HoldDto> {
    return this.holds.hold(acting, id, body, key);
  }

  /** Decides holds: what is in the containers may be used after all, or not. */
  @Post('holds/decisions')
  @HttpCode(200)
  @Allow('manager', 'director')
  decide(@Acting() acting: Acting, @Body() body: HoldDecisionDto, @OnceKey() key?: string): Promise<HoldDto[]> {
    return this.holds.decide(acting, body, key);
  }

  /** What must leave the shelf now, and what was opened without a date. */
  @Get('stock/leaving')
  @SignedIn()
  leaving(@Acting() acting: Acting): Promise<LeavingListDto> {
    return this.leaves.list(acting);
  }

  /** Sets containers apart that must not be used any more. */
  @Post('stock/leaving')
  @HttpCode(200)
  @Allow('technician', 'manager', 'director')
  setApart(@Acting() acting: Acting, @Body() body: SetApartDto, @OnceKey() key?: string): Promise<LeavingListDto> {
    return this.leaves.setApart(acting, body, key);
  }
}
