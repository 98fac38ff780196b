import { Controller, Get, Param, Query, StreamableFile } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import {
  AnswerDto,
  FindQueryDto,
  FoundDto,
  PeriodDto,
  PopulationQueryDto,
  ProofDto,
  ProofQueryDto,
  QuestionDto,
  QuestionPageDto,
  RequirementListDto,
  SampleDto,
  SampleQueryDto,
  SignaturesDto,
} from '../../contract/review.dto.js';
import { Acting, Allow } from '../http/access.js';
import { CsvAnswer } from '../http/csv-file.js';
import { ProofService } from './proof.service.js';
import { ReviewService } from './review.service.js';

const WHO = ['reviewer', 'director', 'manager', 'administrator'] as const;

/** Questions on the record; a reviewer's are kept to what was granted and are themselves kept. */
@ApiTags('review')
@Controller('review')
export class ReviewController {
  constructor(
    private readonly questions: ReviewService,
    private readonly proofs: ProofService,
  ) {}

  /** Things that can be asked about, by a text in their names. */
  @Get('find')
  @Allow(...WHO)
  find(@Acting() acting: Acting, @Query() query: FindQueryDto): Promise<FoundDto[]> {
    return this.questions.find(acting, query);
  }

  /** What the record says about one thing in a period. */
  @Get('answer')
  @Allow(...WHO)
  answer(@Acting() acting: Acting, @Query() query: QuestionPageDto): Promise<AnswerDto> {
    return this.questions.answer(acting, query);
  }

  /** Every act of an answer, one row each. */
  @Get('answer.csv')
  @Allow(...WHO)
  @CsvAnswer()
  csv(@Acting() acting: Acting, @Query() query: QuestionDto): Promise<StreamableFile> {
    return this.questions.csv(acting, query);
  }

  /** Every requirement that the record can prove, with where its proof stands in a period. */
  @Get('requirements')
  @Allow(...WHO)
  requirements(@Acting() acting: Acting, @Query() query: PeriodDto): Promise<RequirementListDto> {
    return this.proofs.requirements(acting, query);
  }

  /** A requirement beside the records that prove it. */
  @Get('requirements/:id')
  @Allow(...WHO)
  proof(@Acting() acting: Acting, @Param('id') id: string, @Query() query: ProofQueryDto): Promise<ProofDto> {
    return this.proofs.proof(acting, id, query);
  }

  /** A random sample that anyone can draw again; the draw is kept in the record. */
  @Get('sample')
  @Allow(...WHO)
  sample(@Acting() acting: Acting, @Query() query: SampleQueryDto): Promise<SampleDto> {
    return this.proofs.sample(acting, query);
  }

  /** Everything that a sample is drawn from. */
  @Get('population.csv')
  @Allow(...WHO)
  @CsvAnswer()
  population(@Acting() acting: Acting, @Query() query: PopulationQueryDto): Promise<StreamableFile> {
    return this.proofs.populationCsv(acting, query);
  }

  /** Directors' signatures against when they held the role. */
  @Get('signatures')
  @Allow(...WHO)
  signatures(@Acting() acting: Acting, @Query() query: PeriodDto): Promise<SignaturesDto> {
    return this.proofs.signatures(acting, query);
  }
}
