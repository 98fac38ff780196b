import { Body, Controller, Get, Param, Post, Query } from '@nestjs/common';
import {
  BathDto,
  BathNoteDto,
  BathQueryDto,
  BathRuleDto,
  BathRuleQueryDto,
  ChangeBathDto,
  MoveBathDto,
  NewBathDto,
  TopUpDto,
} from '../../contract/preparations.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { BathsService } from './baths.service.js';

@Controller()
export class BathsController {
  constructor(private readonly baths: BathsService) {}

  /** Baths in use, by their places. */
  @Get('baths')
  @SignedIn()
  list(@Acting() acting: Acting, @Query() { station }: BathQueryDto): Promise<BathDto[]> {
    return this.baths.list(acting, station);
  }

  /** A bath, in use or not, by the id of its container. */
  @Get('baths/:id')
  @SignedIn()
  bath(@Acting() acting: Acting, @Param('id') id: string): Promise<BathDto> {
    return this.baths.bath(acting, id);
  }

  /** What the protocols that use a reagent say about changing what is shared. */
  @Get('bath-rules')
  @SignedIn()
  rules(@Acting() acting: Acting, @Query() { reagent }: BathRuleQueryDto): Promise<BathRuleDto[]> {
    return this.baths.rules(acting, reagent);
  }

  /** Makes a bath up from containers, which are debited once, now. */
  @Post('baths')
  @Allow('technician', 'manager', 'director')
  makeUp(@Acting() acting: Acting, @Body() body: NewBathDto, @OnceKey() key?: string): Promise<BathDto> {
    return this.baths.makeUp(acting, body, key);
  }

  @Post('baths/:id/top-up')
  @Allow('technician', 'manager', 'director')
  topUp(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: TopUpDto,
    @OnceKey() key?: string,
  ): Promise<BathDto> {
    return this.baths.topUp(acting, id, body, key);
  }

  @Post('baths/:id/filter')
  @Allow('technician', 'manager', 'director')
  filter(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: BathNoteDto,
    @OnceKey() key?: string,
  ): Promise<BathDto> {
    return this.baths.filter(acting, id, body, key);
  }

  /** Moves a bath to another place of its line. */
  @Post('baths/:id/move')
  @Allow('technician', 'manager', 'director')
  move(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: MoveBathDto,
    @OnceKey() key?: string,
  ): Promise<BathDto> {
    return this.baths.move(acting, id, body, key);
  }

  /** Empties a bath, and makes up the next in its place when told of what. */
  @Post('baths/:id/change')
  @Allow('technician', 'manager', 'director')
  change(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: ChangeBathDto,
    @OnceKey() key?: string,
  ): Promise<BathDto> {
    return this.baths.change(acting, id, body, key);
  }
}
