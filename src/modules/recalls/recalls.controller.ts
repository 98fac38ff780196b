import { Body, Controller, Get, Param, Post, Query, StreamableFile } from '@nestjs/common';
import { ListDto } from '../../contract/list.dto.js';
import {
  NewRecallDto,
  NewToldDto,
  RecallDto,
  RecallListDto,
  RecallViewDto,
  TracedRunListDto,
} from '../../contract/recalls.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { A_PAGE, type Columns, CsvAnswer, listFile, pagesOf } from '../http/csv-file.js';
import { RecallsService } from './recalls.service.js';

const RECALL_COLUMNS: Columns<RecallDto> = {
  id: ({ id }) => id,
  recalled: ({ at }) => at,
  reagent: ({ reagent }) => reagent,
  'lot number': ({ number }) => number,
  gtin: ({ gtin }) => gtin,
  why: ({ reason }) => reason,
  shipments: ({ shipments }) => shipments.length,
  preparations: ({ preparations }) => preparations.length,
  lookback: ({ lookbackId }) => lookbackId,
};

@Controller('recalls')
export class RecallsController {
  constructor(private readonly recalls: RecallsService) {}

  /** Recalls a lot in all its shipments, with every preparation made of it, and opens the lookback. */
  @Post()
  @Allow('manager', 'director')
  recall(@Acting() acting: Acting, @Body() body: NewRecallDto, @OnceKey() key?: string): Promise<RecallViewDto> {
    return this.recalls.recall(acting, body, key);
  }

  /** Recalls, newest first. */
  @Get()
  @SignedIn()
  list(@Acting() acting: Acting, @Query() query: ListDto): Promise<RecallListDto> {
    return this.recalls.list(acting, query);
  }

  /** The same recalls as CSV. */
  @Get('list.csv')
  @SignedIn()
  @CsvAnswer()
  listFile(@Acting() acting: Acting): Promise<StreamableFile> {
    const pages = pagesOf((after) => this.recalls.list(acting, { take: A_PAGE, after }));
    return listFile('recalls', RECALL_COLUMNS, pages);
  }

  /** A recall with all that it touches now and who must know. */
  @Get(':id')
  @SignedIn()
  view(@Acting() acting: Acting, @Param('id') id: string): Promise<RecallViewDto> {
    return this.recalls.view(acting, id);
  }

  /** The runs that it touches, oldest first. */
  @Get(':id/runs')
  @SignedIn()
  runs(@Acting() acting: Acting, @Param('id') id: string, @Query() query: ListDto): Promise<TracedRunListDto> {
    return this.recalls.runs(acting, id, query);
  }

  /** The same runs, all of them, as CSV. */
  @Get(':id/runs.csv')
  @SignedIn()
  @CsvAnswer()
  csv(@Acting() acting: Acting, @Param('id') id: string): Promise<StreamableFile> {
    return this.recalls.csv(acting, id);
  }

  /** Records that somebody was told, when and how. */
  @Post(':id/told')
  @Allow('manager', 'director', 'releaser')
  told(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewToldDto,
    @OnceKey() key?: string,
  ): Promise<RecallViewDto> {
    return this.recalls.told(acting, id, body, key);
  }
}
