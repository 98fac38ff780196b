import { Body, Controller, Get, HttpCode, Param, Post, Query, StreamableFile } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import {
  DeviationAboutDto,
  DeviationChoiceDto,
  DeviationDto,
  DeviationListDto,
  DeviationPersonDto,
  DeviationQueryDto,
  DeviationStoryDto,
  DeviationSubjectDto,
  DeviationSupportDto,
  DeviationTrendsDto,
  NewDeviationActDto,
  NewDeviationCloseDto,
  NewDeviationDto,
  NewDeviationReopenDto,
  TrendQueryDto,
} from '../../contract/deviations.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { A_PAGE, type Columns, CsvAnswer, listFile, pagesOf } from '../http/csv-file.js';
import { DeviationsService } from './deviations.service.js';
import { TrendsService } from './trends.service.js';

const DEVIATION_COLUMNS: Columns<DeviationDto> = {
  number: ({ number }) => number,
  id: ({ id }) => id,
  opened: ({ at }) => at,
  by: ({ person }) => person,
  about: ({ subject }) => subject,
  run: ({ runId }) => runId,
  title: ({ title }) => title,
  what: ({ what }) => what,
  effect: ({ effect }) => effect,
  state: ({ state }) => state,
  ended: ({ ended }) => ended,
  'looked into by': ({ owner }) => owner,
  'next due': ({ due: [next] }) => next?.due,
  overdue: ({ overdue }) => overdue,
};

@ApiTags('deviations')
@Controller('deviations')
export class DeviationsController {
  constructor(
    private readonly deviations: DeviationsService,
    private readonly trends: TrendsService,
  ) {}

  /** Open deviations by what is due first, or closed ones, the newest first. */
  @Get()
  @SignedIn()
  list(@Acting() acting: Acting, @Query() query: DeviationQueryDto): Promise<DeviationListDto> {
    return this.deviations.list(acting, query);
  }

  /** The same deviations as CSV. */
  @Get('list.csv')
  @SignedIn()
  @CsvAnswer()
  csv(@Acting() acting: Acting, @Query() choice: DeviationChoiceDto): Promise<StreamableFile> {
    const pages = pagesOf((after) => this.deviations.list(acting, { ...choice, take: A_PAGE, after }));
    return listFile('deviations', DEVIATION_COLUMNS, pages);
  }

  /** What one would be opened from, in words, and those that were opened from it already. */
  @Get('subject')
  @SignedIn()
  subject(@Acting() acting: Acting, @Query() query: DeviationAboutDto): Promise<DeviationSubjectDto> {
    return this.deviations.subject(acting, query);
  }

  /** Who may be given something to do. */
  @Get('people')
  @SignedIn()
  people(@Acting() acting: Acting): Promise<DeviationPersonDto[]> {
    return this.deviations.people(acting);
  }

  /** Rates with their denominators, by month and by what deviations have in common. */
  @Get('trends')
  @SignedIn()
  trend(@Acting() acting: Acting, @Query() query: TrendQueryDto): Promise<DeviationTrendsDto> {
    return this.trends.trends(acting, query);
  }

  /** Where training or help may be wanting; for who answers for people. */
  @Get('support')
  @Allow('manager', 'director')
  support(@Acting() acting: Acting, @Query() query: TrendQueryDto): Promise<DeviationSupportDto> {
    return this.trends.support(acting, query);
  }

  @Get(':id')
  @SignedIn()
  story(@Acting() acting: Acting, @Param('id') id: string): Promise<DeviationStoryDto> {
    return this.deviations.story(acting, id);
  }

  /** Opens one from a finding of a run, a failed control, a lookback, an excursion, an order or an instrument, or describes it. */
  @Post()
  @Allow('technician', 'releaser', 'manager', 'director')
  open(@Acting() acting: Acting, @Body() body: NewDeviationDto, @OnceKey() key?: string): Promise<DeviationStoryDto> {
    return this.deviations.open(acting, body, key);
  }

  /** Assigns it, or adds its effect, a correction, a cause, an action, that one was done or dropped, a check planned or made. */
  @Post(':id/acts')
  @HttpCode(200)
  @Allow('technician', 'releaser', 'manager', 'director')
  act(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewDeviationActDto,
    @OnceKey() key?: string,
  ): Promise<DeviationStoryDto> {
    return this.deviations.act(acting, id, body, key);
  }

  /** Closes it by a signature: its actions proven effective, or none needed. */
  @Post(':id/close')
  @HttpCode(200)
  @Allow('manager', 'director')
  close(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewDeviationCloseDto,
    @OnceKey() key?: string,
  ): Promise<DeviationStoryDto> {
    return this.deviations.close(acting, id, body, key);
  }

  @Post(':id/reopen')
  @HttpCode(200)
  @Allow('technician', 'releaser', 'manager', 'director')
  reopen(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewDeviationReopenDto,
    @OnceKey() key?: string,
  ): Promise<DeviationStoryDto> {
    return this.deviations.reopen(acting, id, body, key);
  }
}
