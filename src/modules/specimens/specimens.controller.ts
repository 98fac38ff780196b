import { Body, Controller, Get, Param, Post, Query, StreamableFile } from '@nestjs/common';
import {
  NewSubjectDto,
  NewTissueMomentDto,
  SubjectChoiceDto,
  SubjectListDto,
  SubjectQueryDto,
  SubjectDto,
  SubjectSummaryDto,
} from '../../contract/specimens.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { type Columns, CsvAnswer, listFile } from '../http/csv-file.js';
import { SpecimensService } from './specimens.service.js';

const SUBJECT_COLUMNS: Columns<SubjectSummaryDto> = {
  id: ({ id }) => id,
  kind: ({ kind }) => kind,
  label: ({ label }) => label,
  of: ({ parentId }) => parentId,
  description: ({ description }) => description,
  taken: ({ takenAt }) => takenAt,
  irreplaceable: ({ irreplaceable }) => irreplaceable,
  cytology: ({ cytology }) => cytology,
  'later test': ({ tissueTest }) => tissueTest,
};

@Controller('subjects')
export class SpecimensController {
  constructor(private readonly specimens: SpecimensService) {}

  /** Registers a specimen, a slide of one, or a piece of control material. */
  @Post()
  @Allow('technician', 'releaser', 'manager', 'director')
  register(@Acting() acting: Acting, @Body() body: NewSubjectDto, @OnceKey() key?: string): Promise<SubjectDto> {
    return this.specimens.register(acting, body, key);
  }

  /** Specimens, slides and controls, newest first. */
  @Get()
  @SignedIn()
  list(@Acting() acting: Acting, @Query() query: SubjectQueryDto): Promise<SubjectListDto> {
    return this.specimens.list(acting, query);
  }

  /** The same as CSV, without the patients, whatever may be known of them. */
  @Get('list.csv')
  @SignedIn()
  @CsvAnswer()
  csv(@Acting() acting: Acting, @Query() choice: SubjectChoiceDto): Promise<StreamableFile> {
    return listFile('specimens', SUBJECT_COLUMNS, this.specimens.listed(acting, choice));
  }

  /** Keeps when a specimen went into fixative or came out of it. */
  @Post(':id/moments')
  @Allow('technician', 'releaser', 'manager', 'director')
  addMoment(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewTissueMomentDto,
    @OnceKey() key?: string,
  ): Promise<SubjectDto> {
    return this.specimens.addMoment(acting, id, body, key);
  }

  @Get(':id')
  @SignedIn()
  read(@Acting() acting: Acting, @Param('id') id: string): Promise<SubjectDto> {
    return this.specimens.read(acting, id);
  }
}
