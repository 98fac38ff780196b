import { Body, Controller, Get, Param, Post, Query, StreamableFile } from '@nestjs/common';
import { Clock } from '../../clock.js';
import { FindInListDto, FindListDto } from '../../contract/list.dto.js';
import { NewRunEventDto } from '../../contract/run-events.dto.js';
import { NewAnswerDto, NewAttestationDto, NewLostDeviceDto, NewRunDto } from '../../contract/runs.dto.js';
import {
  AnsweredDto,
  AttestedDto,
  BenchDto,
  JudgementDto,
  LostDeviceDto,
  RecordedEventDto,
  RunListDto,
  RunViewDto,
  StoodRunListDto,
} from '../../contract/run-view.dto.js';
import { type Acting as ActingPerson, Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { A_PAGE, CsvAnswer, listFile, pagesOf } from '../http/csv-file.js';
import { RUN_COLUMNS } from './run-columns.js';
import { RunsService } from './runs.service.js';

@Controller()
export class RunsController {
  constructor(
    private readonly runs: RunsService,
    private readonly clock: Clock,
  ) {}

  /** Starts a run of a revision on specimens or slides and their controls. */
  @Post('runs')
  @Allow('technician', 'releaser')
  start(
    @Acting() acting: ActingPerson,
    @Body() wanted: NewRunDto,
    @OnceKey() key: string | undefined,
  ): Promise<RunViewDto> {
    return this.runs.start(acting, wanted, key);
  }

  /** Every run that stands on a bench now. */
  @Get('bench')
  @SignedIn()
  async bench(@Acting() acting: ActingPerson): Promise<BenchDto> {
    return { serverTime: this.clock.now(), runs: await this.runs.bench(acting) };
  }

  /** Runs, the newest first; those in whose title, station or labels a text stands, when one is given. */
  @Get('runs')
  @SignedIn()
  recent(@Acting() acting: ActingPerson, @Query() query: FindListDto): Promise<RunListDto> {
    return this.runs.recent(acting, query);
  }

  /** The same runs with where each specimen or slide of them stands at each release point. */
  @Get('runs/standings')
  @SignedIn()
  standings(@Acting() acting: ActingPerson, @Query() query: FindListDto): Promise<StoodRunListDto> {
    return this.runs.standings(acting, query);
  }

  /** The same runs as CSV. */
  @Get('runs/list.csv')
  @SignedIn()
  @CsvAnswer()
  csv(@Acting() acting: ActingPerson, @Query() choice: FindInListDto): Promise<StreamableFile> {
    const pages = pagesOf((after) => this.runs.labelled(acting, { ...choice, take: A_PAGE, after }));
    return listFile('runs', RUN_COLUMNS, pages);
  }

  @Get('runs/:id')
  @SignedIn()
  view(@Acting() acting: ActingPerson, @Param('id') id: string): Promise<RunViewDto> {
    return this.runs.view(acting, id);
  }

  /** Keeps what happened at the bench. Of a container put on the tray it tells at once why it may not be used. */
  @Post('runs/:id/events')
  @Allow('technician', 'releaser')
  record(
    @Acting() acting: ActingPerson,
    @Param('id') id: string,
    @Body() event: NewRunEventDto,
    @OnceKey() key: string | undefined,
  ): Promise<RecordedEventDto> {
    return this.runs.record(acting, id, event, key);
  }

  /** What the gate says of each specimen or slide at each release point. */
  @Get('runs/:id/judgement')
  @SignedIn()
  judgement(@Acting() acting: ActingPerson, @Param('id') id: string): Promise<JudgementDto> {
    return this.runs.judgement(acting, id);
  }

  /** Keeps an answer that was spoken before it is signed. */
  @Post('runs/:id/answers')
  @Allow('technician', 'releaser')
  answer(
    @Acting() acting: ActingPerson,
    @Param('id') id: string,
    @Body() said: NewAnswerDto,
    @OnceKey() key: string | undefined,
  ): Promise<AnsweredDto> {
    return this.runs.answer(acting, id, said, key);
  }

  /** Keeps the collector's signed word on an irreplaceable specimen whose identifiers cannot be confirmed. */
  @Post('runs/:id/attestations')
  @Allow('technician', 'releaser')
  attest(
    @Acting() acting: ActingPerson,
    @Param('id') id: string,
    @Body() asked: NewAttestationDto,
    @OnceKey() key: string | undefined,
  ): Promise<AttestedDto> {
    return this.runs.attest(acting, id, asked, key);
  }

  /** Keeps the signed word of two people that a device will never send what it may still hold of the run. */
  @Post('runs/:id/lost-devices')
  @Allow('technician', 'releaser', 'manager', 'director')
  lose(
    @Acting() acting: ActingPerson,
    @Param('id') id: string,
    @Body() asked: NewLostDeviceDto,
    @OnceKey() key: string | undefined,
  ): Promise<LostDeviceDto> {
    return this.runs.lose(acting, id, asked, key);
  }
}
