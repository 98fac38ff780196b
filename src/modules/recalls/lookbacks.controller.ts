import { Body, Controller, Get, HttpCode, Param, Post, Query } from '@nestjs/common';
import {
  LookbackDto,
  LookbackItemListDto,
  LookbackItemsQueryDto,
  LookbackListDto,
  LookbackQueryDto,
  NewLookbackAnswersDto,
  NewLookbackCloseDto,
} from '../../contract/recalls.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { LookbacksService } from './lookbacks.service.js';

@Controller('lookbacks')
export class LookbacksController {
  constructor(private readonly lookbacks: LookbacksService) {}

  /** Questions on earlier work, newest first: the open ones, then, asked for, the closed ones. */
  @Get()
  @SignedIn()
  list(@Acting() acting: Acting, @Query() query: LookbackQueryDto): Promise<LookbackListDto> {
    return this.lookbacks.list(acting, query);
  }

  @Get(':id')
  @SignedIn()
  view(@Acting() acting: Acting, @Param('id') id: string): Promise<LookbackDto> {
    return this.lookbacks.view(acting, id);
  }

  /** What it touches, oldest run first: each patient's specimen or slide with its releases and its answer. */
  @Get(':id/items')
  @SignedIn()
  items(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Query() query: LookbackItemsQueryDto,
  ): Promise<LookbackItemListDto> {
    return this.lookbacks.items(acting, id, query);
  }

  /** Answers specimens or slides, many alike at once. */
  @Post(':id/answers')
  @HttpCode(200)
  @Allow('releaser', 'director')
  answer(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewLookbackAnswersDto,
    @OnceKey() key?: string,
  ): Promise<LookbackDto> {
    return this.lookbacks.answer(acting, id, body, key);
  }

  /** Closes it by a signature; refused while anything that it touches is unanswered. */
  @Post(':id/close')
  @HttpCode(200)
  @Allow('releaser', 'director')
  close(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewLookbackCloseDto,
    @OnceKey() key?: string,
  ): Promise<LookbackDto> {
    return this.lookbacks.close(acting, id, body, key);
  }
}
