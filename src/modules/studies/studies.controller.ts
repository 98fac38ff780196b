import { Body, Controller, Get, HttpCode, Param, Post, Query, StreamableFile } from '@nestjs/common';
import {
  DesignGoalDto,
  NewExclusionDto,
  NewPairsDto,
  NewStudyDecisionDto,
  NewStudyDto,
  PlannedDto,
  StudyDto,
  StudyListDto,
  StudyQueryDto,
} from '../../contract/studies.dto.js';
import { plannedPairs } from '../../core/study/acceptance.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { A_PAGE, type Columns, CsvAnswer, listFile, pagesOf } from '../http/csv-file.js';
import { goalOf } from './design.js';
import { StudiesService } from './studies.service.js';

const STUDY_COLUMNS: Columns<StudyDto> = {
  id: ({ id }) => id,
  planned: ({ at }) => at,
  reagent: ({ lot }) => lot.reagent,
  lot: ({ lot }) => lot.number,
  'lot in use': ({ oldLot }) => oldLot.number,
  protocol: ({ protocolId }) => protocolId,
  kind: ({ kind }) => kind,
  measurand: ({ measurand }) => measurand,
  unit: ({ unit }) => unit,
  pairs: ({ counted }) => counted,
  decision: ({ decision }) => decision?.standing,
  decided: ({ decision }) => decision?.at,
  why: ({ decision }) => decision?.reason,
};

@Controller('studies')
export class StudiesController {
  constructor(private readonly studies: StudiesService) {}

  /** Plans a new lot against the one in use, with its criteria, before any pair. */
  @Post()
  @Allow('technician', 'manager', 'director')
  plan(@Acting() acting: Acting, @Body() body: NewStudyDto, @OnceKey() key?: string): Promise<StudyDto> {
    return this.studies.plan(acting, body, key);
  }

  /** How many pairs a goal asks for; changes nothing. */
  @Post('size')
  @HttpCode(200)
  @Allow('technician', 'manager', 'director')
  size(@Body() body: DesignGoalDto): PlannedDto {
    return { pairs: plannedPairs(goalOf(body)) };
  }

  @Get()
  @SignedIn()
  list(@Acting() acting: Acting, @Query() query: StudyQueryDto): Promise<StudyListDto> {
    return this.studies.list(acting, query);
  }

  /** The same studies as CSV. */
  @Get('list.csv')
  @SignedIn()
  @CsvAnswer()
  csv(@Acting() acting: Acting): Promise<StreamableFile> {
    const pages = pagesOf((after) => this.studies.list(acting, { take: A_PAGE, after }));
    return listFile('studies', STUDY_COLUMNS, pages);
  }

  /** One study with its pairs and what they show so far. */
  @Get(':id')
  @SignedIn()
  study(@Acting() acting: Acting, @Param('id') id: string): Promise<StudyDto> {
    return this.studies.study(acting, id);
  }

  /** Adds pairs, all or none. */
  @Post(':id/pairs')
  @Allow('technician', 'releaser', 'manager', 'director')
  add(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewPairsDto,
    @OnceKey() key?: string,
  ): Promise<StudyDto> {
    return this.studies.add(acting, id, body, key);
  }

  /** A pair does not count, with the reason; it stays in the record. */
  @Post(':id/pairs/:pair/exclusion')
  @Allow('technician', 'manager', 'director')
  exclude(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Param('pair') pair: string,
    @Body() body: NewExclusionDto,
    @OnceKey() key?: string,
  ): Promise<StudyDto> {
    return this.studies.exclude(acting, id, pair, body, key);
  }

  /** Accepts or rejects the new lot by the study, signed; the lot stands so from then on. */
  @Post(':id/decision')
  @Allow('manager', 'director')
  decide(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewStudyDecisionDto,
    @OnceKey() key?: string,
  ): Promise<StudyDto> {
    return this.studies.decide(acting, id, body, key);
  }
}
