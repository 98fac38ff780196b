import { Body, Controller, Get, HttpCode, Param, Post, Query, StreamableFile } from '@nestjs/common';
import {
  FailureChoiceDto,
  FailureDto,
  FailureListDto,
  FailureQueryDto,
  FailureStoryDto,
  NewFailureActDto,
  NewFailureCloseDto,
} from '../../contract/control-results.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { A_PAGE, type Columns, CsvAnswer, listFile, pagesOf } from '../http/csv-file.js';
import { FailuresService } from './failures.service.js';

const FAILURE_COLUMNS: Columns<FailureDto> = {
  id: ({ id }) => id,
  read: ({ result }) => result.at,
  stain: ({ result }) => result.title,
  control: ({ result }) => result.requirement,
  label: ({ result }) => result.label,
  run: ({ result }) => result.runId,
  seen: ({ result }) => result.observed,
  state: ({ state }) => state,
};

@Controller('control-failures')
export class FailuresController {
  constructor(private readonly failures: FailuresService) {}

  /** Failed controls, the newest first; withdrawn readings are none. */
  @Get()
  @SignedIn()
  list(@Acting() acting: Acting, @Query() query: FailureQueryDto): Promise<FailureListDto> {
    return this.failures.list(acting, query);
  }

  /** The same failures as CSV. */
  @Get('list.csv')
  @SignedIn()
  @CsvAnswer()
  csv(@Acting() acting: Acting, @Query() { state }: FailureChoiceDto): Promise<StreamableFile> {
    const pages = pagesOf((after) => this.failures.list(acting, { state, take: A_PAGE, after }));
    return listFile('failures', FAILURE_COLUMNS, pages);
  }

  /** The whole story of one: expected, seen, what it covers, cause, action, repeat, signature. */
  @Get(':id')
  @SignedIn()
  story(@Acting() acting: Acting, @Param('id') id: string): Promise<FailureStoryDto> {
    return this.failures.story(acting, id);
  }

  /** Records its cause, the corrective action, or the repeat that passed. */
  @Post(':id/acts')
  @HttpCode(200)
  @Allow('technician', 'manager', 'releaser', 'director')
  add(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewFailureActDto,
    @OnceKey() key?: string,
  ): Promise<FailureStoryDto> {
    return this.failures.add(acting, id, body, key);
  }

  /** Closes it by a signature; refused while a case that it covers is not answered. */
  @Post(':id/close')
  @HttpCode(200)
  @Allow('releaser', 'director')
  close(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewFailureCloseDto,
    @OnceKey() key?: string,
  ): Promise<FailureStoryDto> {
    return this.failures.close(acting, id, body, key);
  }
}
