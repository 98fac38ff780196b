import { Body, Controller, Get, Param, Post, Query } from '@nestjs/common';
import {
  NewPreparationDto,
  NewReadingsDto,
  PreparationDto,
  PreparationListDto,
  PreparationQueryDto,
} from '../../contract/preparations.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { PreparationsService } from './preparations.service.js';

@Controller('preparations')
export class PreparationsController {
  constructor(private readonly preparations: PreparationsService) {}

  /** What was made here, newest first. */
  @Get()
  @SignedIn()
  list(@Acting() acting: Acting, @Query() query: PreparationQueryDto): Promise<PreparationListDto> {
    return this.preparations.list(acting, query);
  }

  /** How a lot was made, by the lot's id. */
  @Get(':lot')
  @SignedIn()
  preparation(@Acting() acting: Acting, @Param('lot') lot: string): Promise<PreparationDto> {
    return this.preparations.preparation(acting, lot);
  }

  /** Keeps what was made here: its lot and containers, what was really weighed, and what it takes from stock. */
  @Post()
  @Allow('technician', 'manager', 'director')
  make(@Acting() acting: Acting, @Body() body: NewPreparationDto, @OnceKey() key?: string): Promise<PreparationDto> {
    return this.preparations.make(acting, body, key);
  }

  /** Keeps readings that are taken later. */
  @Post(':lot/readings')
  @Allow('technician', 'manager', 'director')
  read(
    @Acting() acting: Acting,
    @Param('lot') lot: string,
    @Body() body: NewReadingsDto,
    @OnceKey() key?: string,
  ): Promise<PreparationDto> {
    return this.preparations.read(acting, lot, body, key);
  }
}
