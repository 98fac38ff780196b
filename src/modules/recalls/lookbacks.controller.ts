import { Body, Controller, Get, HttpCode, Param, Post, Query, StreamableFile } from '@nestjs/common';
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
import { A_PAGE, type Columns, CsvAnswer, listFile, pagesOf } from '../http/csv-file.js';
import { LookbacksService } from './lookbacks.service.js';

const LOOKBACK_COLUMNS: Columns<LookbackDto> = {
  id: ({ id }) => id,
  opened: ({ at }) => at,
  cause: ({ cause }) => cause,
  'cause id': ({ causeId }) => causeId,
  why: ({ reason }) => reason,
  touched: ({ touched }) => touched,
  answered: ({ answered }) => answered,
  closed: ({ closed }) => closed?.at,
  'closed because': ({ closed }) => closed?.reason,
};

@Controller('lookbacks')
export class LookbacksController {
  constructor(private readonly lookbacks: LookbacksService) {}

  /** Questions on earlier work, newest first: the open ones, then, asked for, the closed ones. */
  @Get()
  @SignedIn()
  list(@Acting() acting: Acting, @Query() query: LookbackQueryDto): Promise<LookbackListDto> {
    return this.lookbacks.list(acting, query);
  }

  /** The same questions as CSV. */
  @Get('list.csv')
  @SignedIn()
  @CsvAnswer()
  csv(@Acting() acting: Acting): Promise<StreamableFile> {
    const pages = pagesOf((after) => this.lookbacks.list(acting, { take: A_PAGE, after }));
    return listFile('lookbacks', LOOKBACK_COLUMNS, pages);
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
