import { Body, Controller, Get, Header, HttpCode, Param, Post, Query } from '@nestjs/common';
import { ApiOkResponse, ApiProduces } from '@nestjs/swagger';
import {
  AddedValuesDto,
  EvaluationDto,
  EvaluationQueryDto,
  LimitsProposalDto,
  LimitsQueryDto,
  NewLimitsDto,
  NewMarkDto,
  NewRulesDto,
  NewSeriesDto,
  NewValuesDto,
  SeriesDto,
  SeriesHistoryDto,
  SeriesListDto,
} from '../../contract/control-series.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { SeriesService } from './series.service.js';

@Controller('control-series')
export class SeriesController {
  constructor(private readonly series: SeriesService) {}

  /** Every series of numbers with its limits, rules and marks. */
  @Get()
  @SignedIn()
  list(@Acting() acting: Acting): Promise<SeriesListDto> {
    return this.series.list(acting);
  }

  /** Sets up a series with its levels and rules. */
  @Post()
  @Allow('manager', 'director')
  create(@Acting() acting: Acting, @Body() body: NewSeriesDto, @OnceKey() key?: string): Promise<SeriesDto> {
    return this.series.create(acting, body, key);
  }

  @Get(':id')
  @SignedIn()
  view(@Acting() acting: Acting, @Param('id') id: string): Promise<SeriesDto> {
    return this.series.view(acting, id);
  }

  /** Adds values that were measured together; one that breaks a rule which rejects is a failed control. */
  @Post(':id/values')
  @Allow('technician', 'manager', 'releaser')
  addValues(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewValuesDto,
    @OnceKey() key?: string,
  ): Promise<AddedValuesDto> {
    return this.series.addValues(acting, id, body, key);
  }

  /** Marks a corrective action, a change of lot, a service or an accepted change on the chart. */
  @Post(':id/marks')
  @HttpCode(200)
  @Allow('technician', 'manager', 'releaser')
  mark(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewMarkDto,
    @OnceKey() key?: string,
  ): Promise<SeriesDto> {
    return this.series.mark(acting, id, body, key);
  }

  /** Chooses the rules that judge a series from then on; the chart is judged anew by them. */
  @Post(':id/rules')
  @HttpCode(200)
  @Allow('manager', 'director')
  setRules(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewRulesDto,
    @OnceKey() key?: string,
  ): Promise<SeriesDto> {
    return this.series.setRules(acting, id, body, key);
  }

  /** Limits as the values of a period make them, before anybody signs. */
  @Get(':id/limits/proposal')
  @SignedIn()
  propose(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Query() query: LimitsQueryDto,
  ): Promise<LimitsProposalDto> {
    return this.series.propose(acting, id, query);
  }

  /** Sets the limits of one level by a signature. */
  @Post(':id/limits')
  @HttpCode(200)
  @Allow('manager', 'director')
  setLimits(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewLimitsDto,
    @OnceKey() key?: string,
  ): Promise<SeriesDto> {
    return this.series.setLimits(acting, id, body, key);
  }

  /** Values of a period with what the rules say of each batch. */
  @Get(':id/evaluation')
  @SignedIn()
  evaluation(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Query() query: EvaluationQueryDto,
  ): Promise<EvaluationDto> {
    return this.series.evaluation(acting, id, query);
  }

  /** Every value judged anew from the first one on, summed up. */
  @Get(':id/history')
  @SignedIn()
  history(@Acting() acting: Acting, @Param('id') id: string): Promise<SeriesHistoryDto> {
    return this.series.history(acting, id);
  }

  /** The control charts of a period with EWMA and CUSUM beside them, as a picture for reports. */
  @Get(':id/chart.svg')
  @Header('content-type', 'image/svg+xml')
  @ApiProduces('image/svg+xml')
  @ApiOkResponse({ schema: { type: 'string' } })
  @SignedIn()
  chart(@Acting() acting: Acting, @Param('id') id: string, @Query() query: EvaluationQueryDto): Promise<string> {
    return this.series.chart(acting, id, query);
  }
}
